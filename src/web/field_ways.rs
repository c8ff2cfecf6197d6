//! The ways to go within one session, in the head of each of its field pages.

use super::page::NavItem;

/// The ways of a session for a reader who is at this path.
#[must_use]
pub fn of(path: &str, reference: &str, may_close: bool) -> Vec<NavItem> {
    let below = format!("/roster/{reference}");
    let (lessons, close) = (format!("{below}/lessons/"), format!("{below}/close"));
    let item = |label: &str, href: String, current: bool| NavItem { label: label.to_owned(), href, current };
    let is_own = path.starts_with(&lessons) || path == close;
    let mut ways = vec![
        item("Sessions", "/my-sessions".to_owned(), false),
        item("Roster", below.clone(), path.starts_with(&below) && !is_own),
        item("Lessons", format!("{lessons}1"), path.starts_with(&lessons)),
    ];
    if may_close {
        ways.push(item("Close", close.clone(), path == close));
    }
    ways
}
