//! The table of routes as people read it.

use std::fmt::Write;

use super::LINES;
use crate::domain::access::{Role, RoleSet};
use crate::domain::words::Word;

/// The table of roles, routes and verbs as people read it; the committed copy is `tests/it/access_matrix.txt`.
#[must_use]
pub fn access_matrix() -> String {
    // Fixed, so that a new line never moves the others.
    let widest = 56;
    let roles: Vec<Role> = Role::ALL.iter().copied().filter(|role| *role != Role::Partner).collect();
    let mut text = String::from(
        "Who may use which route. `yes`: the role opens it (a service may still ask whose it is). `-`: it does not.\n\
         `public` is anybody, signed in or not. Written by the program from its route table.\n\n",
    );
    let names: Vec<&str> = roles.iter().map(|role| role.as_str()).collect();
    writeln!(text, "{:5} {:widest$}  {}", "verb", "route", names.join("  ")).expect("a String takes everything");
    for line in LINES {
        write!(text, "{:5} {:widest$}", line.verb.as_str(), line.path).expect("a String takes everything");
        for role in &roles {
            let open = line.who.meets(RoleSet::of(&[*role]).with(Role::Public));
            let width = role.as_str().len();
            write!(text, "  {:width$}", if open { "yes" } else { "-" }).expect("a String takes everything");
        }
        text.truncate(text.trim_end().len());
        text.push('\n');
    }
    text
}
