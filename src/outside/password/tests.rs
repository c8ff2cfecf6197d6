//! Attacks on password rules, hashing and the gate (S01-S04, S07).

use super::*;

fn passwords() -> Passwords {
    Passwords::new(2, Random::seeded(1))
}

#[test]
fn s01_length_is_counted_in_characters_and_nul_is_refused() {
    let table = [
        ("q".repeat(10) + "7", Err(PasswordFault::TooShort)),
        ("q7".repeat(6), Ok(())),
        ("q7".repeat(32), Ok(())),
        ("q7".repeat(64), Ok(())),
        ("q7".repeat(64) + "!", Err(PasswordFault::TooLong)),
        ("      twelve".to_owned(), Ok(())),
        ("\u{1f98a}".repeat(12), Ok(())),
        ("\u{1f98a}".repeat(11), Err(PasswordFault::TooShort)),
        ("long enough\0 but cut".to_owned(), Err(PasswordFault::HasNul)),
    ];
    for (password, expected) in table {
        assert_eq!(rules(&password, &["Waymark"]), expected, "{password:?}");
    }
}

#[test]
fn s02_no_composition_is_asked_for() {
    assert_eq!(rules("abcdefghijklmnopqrst", &[]), Ok(()));
    assert_eq!(rules("mi perro come zanahorias", &[]), Ok(()));
}

#[test]
fn s03_every_entry_of_the_common_list_is_refused_in_any_case() {
    let list: Vec<&str> = include_str!("../../../seed/common_passwords.txt").lines().collect();
    assert!(list.len() >= 10_000, "{}", list.len());
    for entry in &list {
        assert_eq!(rules(entry, &[]), Err(PasswordFault::TooCommon), "{entry}");
    }
    let long = list.iter().filter(|entry| entry.chars().count() >= LEAST);
    assert!(long.clone().count() > 200, "the list bites where length alone does not");
    for entry in long {
        assert_eq!(rules(&entry.to_uppercase(), &[]), Err(PasswordFault::TooCommon), "{entry}");
    }
}

#[test]
fn s03_the_programs_words_are_refused_unless_much_stands_beside_them() {
    let words = ["Waymark", "Cedar Basin Riders"];
    for password in ["waymark-2026!", "WaymarkWaymark", "cedarbasinriders", "Riders2026basin"] {
        assert_eq!(rules(password, &words), Err(PasswordFault::ProgramWord), "{password}");
    }
    assert_eq!(rules("the waymark by our barn", &words), Ok(()));
}

#[test]
fn s04_nothing_is_cut_trimmed_folded_or_normalised() {
    let passwords = passwords();
    let right = "x".repeat(72) + "A tail with \u{e9}";
    let stored = passwords.hash(&right).unwrap();
    assert_eq!(passwords.verify(&right, &stored), Verdict::Match { needs_upgrade: false });
    let wrong = [
        "x".repeat(72) + "B tail with \u{e9}",
        "x".repeat(72),
        right.to_lowercase(),
        right.clone() + " ",
        "x".repeat(72) + "A tail with e\u{301}",
    ];
    for password in wrong {
        assert_eq!(passwords.verify(&password, &stored), Verdict::NoMatch, "{password}");
    }
}

/// The least setting is OWASP's for argon2id (Password Storage Cheat Sheet).
#[test]
fn s07_the_stored_string_names_argon2id_with_its_setting_and_a_new_salt() {
    let passwords = passwords();
    let one = passwords.hash("correct battery hare").unwrap();
    assert!(one.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"), "{one}");
    assert_ne!(one, passwords.hash("correct battery hare").unwrap());
}

#[test]
fn s07_a_weaker_hash_matches_and_asks_for_an_upgrade() {
    let weak = |algorithm, memory, passes| {
        Argon2::new(algorithm, Version::V0x13, Params::new(memory, passes, 1, None).unwrap())
            .hash_password_with_salt(b"correct battery hare", &[7; 16])
            .unwrap()
            .to_string()
    };
    let stored = [
        weak(Algorithm::Argon2id, 64, 2),
        weak(Algorithm::Argon2id, MEMORY_KIB, 1),
        weak(Algorithm::Argon2i, MEMORY_KIB, 2),
    ];
    for stored in stored {
        let verdict = passwords().verify("correct battery hare", &stored);
        assert_eq!(verdict, Verdict::Match { needs_upgrade: true }, "{stored}");
        assert_eq!(passwords().verify("correct battery hard", &stored), Verdict::NoMatch);
    }
}

#[test]
fn s09_nobody_and_an_unreadable_hash_never_match_and_use_todays_setting() {
    for password in ["", "correct battery hare"] {
        assert_eq!(passwords().verify_nobody(password), Verdict::NoMatch);
        assert_eq!(passwords().verify(password, "plain text"), Verdict::NoMatch);
    }
    assert!(!is_weaker_than_today(&nobody()), "the empty check costs what a real one costs");
    let hash = nobody();
    assert_eq!(hash.hash.expect("an output").as_bytes().len(), 32);
    assert_eq!(hash.salt.expect("a salt").as_ref().len(), 16);
}

#[test]
fn house_1_a_full_gate_says_busy_and_a_free_one_serves_again() {
    let gate = Gate::new(1, Duration::ZERO);
    let turn = gate.enter().expect("the gate is free");
    assert!(gate.enter().is_none());
    drop(turn);
    assert!(gate.enter().is_some());
}

#[test]
fn house_1_those_in_the_queue_get_their_turn() {
    let gate = Arc::new(Gate::new(2, Duration::from_secs(60)));
    let waiting: Vec<_> = (0..20)
        .map(|_| {
            let gate = Arc::clone(&gate);
            std::thread::spawn(move || gate.enter().is_some())
        })
        .collect();
    assert!(waiting.into_iter().all(|thread| thread.join().unwrap()));
    let state = gate.state.lock().unwrap();
    assert_eq!((state.running, state.waiting), (0, 0));
}
