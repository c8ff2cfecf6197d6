//! What one line of the table of routes says.

use actix_web::Route;

use crate::domain::access::RoleSet;
use crate::web::limits::Limit;

/// The verbs that the table knows. Every `GET` answers `HEAD` too.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verb {
    /// Shows; changes nothing.
    Get,
    /// Does.
    Post,
}

impl Verb {
    /// As written in a request.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Get => "GET",
            Self::Post => "POST",
        }
    }
}

/// How an unsafe request proves that it is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Proof {
    /// By cookie, so it must come from our own page and carry a form token.
    FormToken,
    /// By a secret of its own in the body or the address; cookies are not read.
    OwnSecret,
}

/// One line of the table.
#[derive(Clone, Copy)]
pub struct Line {
    /// The verb.
    pub verb: Verb,
    /// The pattern of the path.
    pub path: &'static str,
    /// The roles that it opens to.
    pub who: RoleSet,
    /// How often it may be asked.
    pub limit: Limit,
    /// How an unsafe request proves that it is meant.
    pub proof: Proof,
    /// Whether its page may keep the screen on: pages that are held in a hand on the field.
    pub stays_on: bool,
    /// Whether its form brings a file.
    pub takes_file: bool,
    /// The page function, as in `|| web::to(session::index)`.
    pub to: fn() -> Route,
}

impl Line {
    /// A page.
    #[must_use]
    pub const fn get(path: &'static str, who: RoleSet, to: fn() -> Route) -> Self {
        Self {
            verb: Verb::Get,
            path,
            who,
            limit: Limit::Page,
            proof: Proof::FormToken,
            stays_on: false,
            takes_file: false,
            to,
        }
    }

    /// A form.
    #[must_use]
    pub const fn post(path: &'static str, who: RoleSet, to: fn() -> Route) -> Self {
        Self {
            verb: Verb::Post,
            path,
            who,
            limit: Limit::Page,
            proof: Proof::FormToken,
            stays_on: false,
            takes_file: false,
            to,
        }
    }

    /// The same line, counted by another limit.
    #[must_use]
    pub const fn counted(self, limit: Limit) -> Self {
        Self { limit, ..self }
    }

    /// The same line, with a page that may keep the screen on.
    #[must_use]
    pub const fn on_the_field(self) -> Self {
        Self { stays_on: true, ..self }
    }

    /// The same line, whose form brings a file.
    #[must_use]
    pub const fn with_file(self) -> Self {
        Self { takes_file: true, ..self }
    }

    /// The same line, for senders that have no cookie.
    #[must_use]
    pub const fn by_own_secret(self) -> Self {
        Self { proof: Proof::OwnSecret, ..self }
    }
}
