//! Whether an unsafe request was made by our own page: where it came from, and the form token it carries.
//!
//! A form token is drawn anew for each answer, so that a compressed page never shows the same bytes twice.
//! It proves that the sender could read a page meant for the cookie's holder. It must never be stored.

use actix_web::http::header::{HOST, HeaderMap, ORIGIN};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use sha2::{Digest, Sha256};
use subtle::ConstantTimeEq;

const NONCE: usize = 16;
const PROOF: usize = 32;

/// A form token for the holder of the cookie `secret`, masked by a fresh `nonce`.
#[must_use]
pub fn form_token(secret: &str, nonce: [u8; NONCE]) -> String {
    let mut token = nonce.to_vec();
    token.extend(proof(&nonce, secret));
    URL_SAFE_NO_PAD.encode(token)
}

/// Whether `token` was made for the holder of the cookie `secret`. Takes the same time for every wrong token.
#[must_use]
pub fn is_token_of(token: &str, secret: &str) -> bool {
    let Ok(bytes) = URL_SAFE_NO_PAD.decode(token) else {
        return false;
    };
    if bytes.len() != NONCE + PROOF {
        return false;
    }
    let (nonce, given) = bytes.split_at(NONCE);
    bool::from(proof(nonce, secret).ct_eq(given))
}

fn proof(nonce: &[u8], secret: &str) -> [u8; PROOF] {
    let mut hash = Sha256::new();
    hash.update(b"waymark form token\0");
    hash.update(nonce);
    hash.update(secret.as_bytes());
    hash.finalize().into()
}

/// Whether the browser says that our own page sent this. A request that says nothing is refused.
///
/// `public_host` is host and port of the public address; a proxy may have rewritten `Host`.
#[must_use]
pub fn is_same_origin(headers: &HeaderMap, public_host: &str) -> bool {
    if let Some(site) = one(headers, "sec-fetch-site") {
        return site == "same-origin" || site == "none";
    }
    let Some(origin) = one(headers, ORIGIN.as_str()) else {
        return false;
    };
    let Some((_, from)) = origin.split_once("://") else {
        return false;
    };
    from == public_host || one(headers, HOST.as_str()) == Some(from)
}

/// The header's only value. A header sent twice counts as none.
fn one<'a>(headers: &'a HeaderMap, name: &str) -> Option<&'a str> {
    let mut values = headers.get_all(name);
    let first = values.next()?.to_str().ok()?;
    values.next().is_none().then_some(first)
}

#[cfg(test)]
mod tests {
    use actix_web::http::header::{HeaderName, HeaderValue};

    use super::*;

    fn headers(pairs: &[(&'static str, &'static str)]) -> HeaderMap {
        let mut map = HeaderMap::new();
        for (name, value) in pairs {
            map.append(HeaderName::from_static(name), HeaderValue::from_static(value));
        }
        map
    }

    #[test]
    fn s46_a_token_serves_its_own_cookie_only() {
        let token = form_token("cookie of Ana", [7; NONCE]);
        assert!(is_token_of(&token, "cookie of Ana"));
        assert!(!is_token_of(&token, "cookie of Ben"));
        assert!(!is_token_of("", "cookie of Ana"));
        assert!(!is_token_of(&token[1..], "cookie of Ana"));
        assert_ne!(token, form_token("cookie of Ana", [8; NONCE]));
    }

    #[test]
    fn s46_only_our_own_page_may_post() {
        let host = "ride.example.org";
        for (pairs, allowed) in [
            (&[("sec-fetch-site", "same-origin")][..], true),
            (&[("sec-fetch-site", "none")], true),
            (&[("sec-fetch-site", "same-site")], false),
            (&[("sec-fetch-site", "cross-site"), ("origin", "https://ride.example.org")], false),
            (
                &[
                    ("sec-fetch-site", "cross-site"),
                    ("sec-fetch-site", "same-origin"),
                    ("origin", "https://evil.example"),
                ],
                false,
            ),
            (&[("origin", "https://ride.example.org")], true),
            (&[("origin", "http://127.0.0.1:9"), ("host", "127.0.0.1:9")], true),
            (&[("origin", "https://evil.example"), ("host", "ride.example.org")], false),
            (&[("origin", "https://ride.example.org.evil.example")], false),
            (&[("origin", "null")], false),
            (&[], false),
        ] {
            assert_eq!(is_same_origin(&headers(pairs), host), allowed, "{pairs:?}");
        }
    }
}
