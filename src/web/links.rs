//! Addresses of our own pages, and whether a text that came from outside is one.

use actix_web::HttpRequest;

/// The sign-in page, which leads back to where the request wanted to go.
#[must_use]
pub fn sign_in(request: &HttpRequest) -> String {
    let wanted = request.uri().path_and_query().map_or("/", |whole| whole.as_str());
    match local(wanted) {
        Some("/") | None => "/sign-in".to_owned(),
        Some(path) => format!("/sign-in?next={}", encoded(path)),
    }
}

/// The path, if it stays on this site whatever a browser makes of it.
#[must_use]
pub fn local(path: &str) -> Option<&str> {
    let plain = |byte: u8| byte.is_ascii_graphic() && byte != b'\\';
    let stays = path.starts_with('/') && !path.starts_with("//") && path.bytes().all(plain) && !breaks_lines(path);
    stays.then_some(path)
}

fn breaks_lines(path: &str) -> bool {
    let lower = path.to_ascii_lowercase();
    ["%0d", "%0a", "%5c", "%00", "/%2f", "%09"].iter().any(|trick| lower.contains(trick))
}

/// A text as one value of a query.
#[must_use]
pub fn encoded(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn s40_only_our_own_paths_are_followed() {
        for good in ["/", "/sessions", "/sessions/ab12?day=3&x=%C3%A9", "/a//b"] {
            assert_eq!(local(good), Some(good));
        }
        for evil in [
            "",
            "//evil.example",
            "///evil",
            "\\\\evil",
            "/\\evil",
            "https:evil",
            "https://evil",
            "evil",
            "/%5cevil",
            "/%2Fevil",
            "/a%0d%0aSet-Cookie:x",
            "/a\r\nb",
            "/\t/evil",
            "/ /evil",
            "javascript:alert(1)",
            "/é",
        ] {
            assert_eq!(local(evil), None, "{evil:?} was followed");
        }
    }

    #[test]
    fn house_1_a_query_value_keeps_its_meaning() {
        assert_eq!(encoded("/a?b=c&d=é"), "/a%3Fb%3Dc%26d%3D%C3%A9");
    }
}
