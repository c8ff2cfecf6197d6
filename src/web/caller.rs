//! The cookies that say who is asking, and the caller that the door read from them.
//!
//! The door asks the services once a request; everything else takes the answer from here.

use std::future::{Ready, ready};

use actix_web::cookie::{Cookie, SameSite};
use actix_web::dev::Payload;
use actix_web::{FromRequest, HttpMessage, HttpRequest};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;

use crate::domain::access::Caller;

use super::answer::Trouble;

/// The random text of an anonymous visit: it carries nothing but the right to send forms.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Visit(pub String);

/// A visit that began with this request, whose cookie must go out with the answer.
#[derive(Debug, Clone)]
pub struct NewVisit;

/// The names of our cookies. Browsers keep `__Host-` names to TLS, so plain names serve where there is none.
#[derive(Debug, Clone, Copy)]
pub struct Cookies {
    https: bool,
}

impl Cookies {
    /// The names for a public address with or without TLS.
    #[must_use]
    pub fn new(https: bool) -> Self {
        Self { https }
    }

    /// The cookie of a sign-in; it holds the token, whose hash the database knows.
    #[must_use]
    pub fn sign_in_name(self) -> &'static str {
        if self.https { "__Host-waymark" } else { "waymark" }
    }

    /// The cookie of a visit.
    #[must_use]
    pub fn visit_name(self) -> &'static str {
        if self.https { "__Host-visit" } else { "visit" }
    }

    /// The cookie that keeps a chosen language or color scheme.
    #[must_use]
    pub fn choice_name(self, what: Choice) -> &'static str {
        match (what, self.https) {
            (Choice::Language, true) => "__Host-language",
            (Choice::Language, false) => "language",
            (Choice::Scheme, true) => "__Host-scheme",
            (Choice::Scheme, false) => "scheme",
        }
    }

    /// The token of the sign-in, as the browser sent it.
    #[must_use]
    pub fn sign_in_token(self, request: &HttpRequest) -> Option<String> {
        value(request, self.sign_in_name())
    }

    /// Sets a sign-in for as long as the browser runs; the server keeps its own, shorter time.
    #[must_use]
    pub fn sign_in(self, token: &str) -> Cookie<'static> {
        self.made(self.sign_in_name(), token)
    }

    /// Takes a sign-in away.
    #[must_use]
    pub fn sign_out(self) -> Cookie<'static> {
        let mut gone = self.made(self.sign_in_name(), "");
        gone.make_removal();
        gone
    }

    /// Sets a visit for as long as the browser runs.
    #[must_use]
    pub fn visit(self, visit: &Visit) -> Cookie<'static> {
        self.made(self.visit_name(), &visit.0)
    }

    /// The visit that the browser sent, if it is one of ours in shape.
    #[must_use]
    pub fn read_visit(self, request: &HttpRequest) -> Option<Visit> {
        let text = value(request, self.visit_name())?;
        let bytes = URL_SAFE_NO_PAD.decode(&text).ok()?;
        (bytes.len() == 32).then_some(Visit(text))
    }

    /// Keeps a choice for a year.
    #[must_use]
    pub fn choice(self, what: Choice, word: &'static str) -> Cookie<'static> {
        let mut kept = self.made(self.choice_name(what), word);
        kept.set_max_age(actix_web::cookie::time::Duration::days(365));
        kept
    }

    fn made(self, name: &'static str, value: &str) -> Cookie<'static> {
        Cookie::build(name, value.to_owned())
            .path("/")
            .secure(self.https)
            .http_only(true)
            .same_site(SameSite::Lax)
            .finish()
    }
}

/// What a reader may choose for every page.
#[derive(Debug, Clone, Copy)]
pub enum Choice {
    /// English or Spanish.
    Language,
    /// Light, dark, bright sun or as the device.
    Scheme,
}

/// A cookie's value, if it was sent and is not empty.
pub(super) fn value(request: &HttpRequest, name: &str) -> Option<String> {
    let cookie = request.cookie(name)?;
    Some(cookie.value().to_owned()).filter(|text| !text.is_empty())
}

/// A visit from 256 random bits.
#[must_use]
pub fn new_visit(random: [u8; 32]) -> Visit {
    Visit(URL_SAFE_NO_PAD.encode(random))
}

/// Who is asking, as the door found out.
#[derive(Debug, Clone)]
pub struct Asking(pub Caller);

impl FromRequest for Asking {
    type Error = Trouble;
    type Future = Ready<Result<Self, Trouble>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(Ok(Self(of(request))))
    }
}

/// The caller of a request. Before the door has asked, it is nobody known.
#[must_use]
pub fn of(request: &HttpRequest) -> Caller {
    request.extensions().get::<Caller>().cloned().unwrap_or_else(Caller::anonymous)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn s23_every_cookie_is_closed_to_scripts_and_other_sites() {
        for (https, prefix) in [(true, "__Host-"), (false, "")] {
            let cookies = Cookies::new(https);
            let visit = new_visit([9; 32]);
            for cookie in [
                cookies.sign_in("token"),
                cookies.sign_out(),
                cookies.visit(&visit),
                cookies.choice(Choice::Language, "es"),
                cookies.choice(Choice::Scheme, "sun"),
            ] {
                assert!(cookie.name().starts_with(prefix));
                assert_eq!(cookie.secure().unwrap_or(false), https, "{cookie}");
                assert_eq!(cookie.http_only(), Some(true), "{cookie}");
                assert_eq!(cookie.same_site(), Some(SameSite::Lax), "{cookie}");
                assert_eq!((cookie.path(), cookie.domain()), (Some("/"), None), "{cookie}");
            }
        }
    }
}
