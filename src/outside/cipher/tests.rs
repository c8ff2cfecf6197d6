//! Attacks on sealed columns (S54).

use super::*;
use proptest::prelude::*;

const CANARY: &[u8] = b"canary: bee stings, auto-injector in the red bag";

fn ring() -> KeyRing {
    KeyRing::fresh(&Random::seeded(1))
}

fn cipher() -> Cipher {
    Cipher::new(ring(), Random::seeded(2))
}

#[test]
fn s54_a_sealed_value_opens_only_at_its_own_place() {
    let cipher = cipher();
    let sealed = cipher.seal("health_notes", "detail", &[1; 16], CANARY);
    assert_eq!(&**cipher.open("health_notes", "detail", &[1; 16], &sealed).unwrap(), CANARY);
    let refused = [
        cipher.open("health_notes", "detail", &[2; 16], &sealed),
        cipher.open("health_notes", "medicine", &[1; 16], &sealed),
        cipher.open("consents", "detail", &[1; 16], &sealed),
        cipher.open("health_notesd", "etail", &[1; 16], &sealed),
    ];
    assert!(refused.iter().all(Result::is_err));
}

#[test]
fn s54_no_changed_byte_and_no_cut_goes_unseen() {
    let cipher = cipher();
    let sealed = cipher.seal("t", "c", &[1; 16], b"asthma");
    for at in 0..sealed.len() {
        let mut changed = sealed.clone();
        changed[at] ^= 1;
        assert!(cipher.open("t", "c", &[1; 16], &changed).is_err(), "byte {at}");
        assert!(cipher.open("t", "c", &[1; 16], &sealed[..at]).is_err(), "cut at {at}");
    }
}

#[test]
fn s54_the_canary_is_not_in_the_ciphertext_and_equal_values_seal_differently() {
    let cipher = cipher();
    let one = cipher.seal("t", "c", &[1; 16], CANARY);
    let two = cipher.seal("t", "c", &[1; 16], CANARY);
    assert_ne!(one, two);
    assert_eq!(one.len(), 1 + 24 + CANARY.len() + 16);
    for piece in CANARY.windows(6) {
        assert!(!one.windows(6).any(|window| window == piece));
    }
}

#[test]
fn s54_after_rotation_old_values_open_and_new_ones_use_the_new_key() {
    let old = cipher();
    let sealed = old.seal("t", "c", &[1; 16], CANARY);
    let new = Cipher::new(ring().with_new_key(&Random::seeded(3)).unwrap(), Random::seeded(4));
    assert!(new.is_outdated(&sealed));
    let plain = new.open("t", "c", &[1; 16], &sealed).unwrap();
    let again = new.seal("t", "c", &[1; 16], &plain);
    assert!(!new.is_outdated(&again));
    assert_eq!(&**new.open("t", "c", &[1; 16], &again).unwrap(), CANARY);
    assert!(old.open("t", "c", &[1; 16], &again).is_err(), "the old ring lacks the new key");
    let other = Cipher::new(KeyRing::fresh(&Random::seeded(9)), Random::seeded(4));
    assert!(other.open("t", "c", &[1; 16], &sealed).is_err(), "another program's key of the same version");
}

#[test]
fn s55_a_key_file_comes_back_and_a_bad_one_names_its_line() {
    let ring = ring().with_new_key(&Random::seeded(3)).unwrap();
    let text = ring.to_text();
    let read = KeyRing::parse(text.as_bytes()).unwrap();
    assert_eq!(*read.to_text(), *text);
    let key = STANDARD.encode(Random::seeded(1).bytes::<32>());
    let table = [
        (String::new(), KeyFault::Empty),
        ("# only words\n".into(), KeyFault::Empty),
        ("1 changeme".into(), KeyFault::Line(1)),
        (format!("\n0 {key}"), KeyFault::Line(2)),
        (format!("256 {key}"), KeyFault::Line(1)),
        (format!("1 {key}\n1 {key}"), KeyFault::Order(2)),
        (format!("1 {}", STANDARD.encode([0; 32])), KeyFault::Placeholder(1)),
    ];
    for (file, fault) in table {
        assert_eq!(KeyRing::parse(file.as_bytes()).err(), Some(fault), "{file}");
    }
    assert_eq!(KeyRing::parse(&[0xff, 0xfe]).err(), Some(KeyFault::Line(1)));
}

/// Key, nonce, associated data and result: draft-irtf-cfrg-xchacha-03, appendix A.3.1.
#[test]
fn house_1_the_cipher_gives_the_published_vector() {
    let key: [u8; 32] = std::array::from_fn(|at| 0x80 + at as u8);
    let nonce: [u8; 24] = std::array::from_fn(|at| 0x40 + at as u8);
    let aad = [0x50, 0x51, 0x52, 0x53, 0xc0, 0xc1, 0xc2, 0xc3, 0xc4, 0xc5, 0xc6, 0xc7];
    let mut body = b"Ladies and Gentlemen of the class of '99: If I could offer you only one tip for the future, \
        sunscreen would be it."
        .to_vec();
    XChaCha20Poly1305::new((&key).into()).encrypt_in_place(&XNonce::from(nonce), &aad, &mut body).unwrap();
    assert_eq!(body[..8], [0xbd, 0x6d, 0x17, 0x9d, 0x3e, 0x83, 0xd4, 0x3b]);
    assert_eq!(
        body[body.len() - 16..],
        [0xc0, 0x87, 0x59, 0x24, 0xc1, 0xc7, 0x98, 0x79, 0x47, 0xde, 0xaf, 0xd8, 0x78, 0x0a, 0xcf, 0x49]
    );
}

proptest! {
    #[test]
    fn house_1_whatever_is_sealed_opens_again(plain in prop::collection::vec(any::<u8>(), 0..300), row in any::<[u8; 16]>()) {
        let cipher = cipher();
        let sealed = cipher.seal("t", "c", &row, &plain);
        prop_assert_eq!(&**cipher.open("t", "c", &row, &sealed).unwrap(), &plain[..]);
    }
}
