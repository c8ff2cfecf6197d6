//! Whether a session can stand beside the others: a site holds one session at a time, and a person is in one place.
//! Takes instants and days; must not know where they are kept.
//!
//! Decided: two sessions of one site may share a day when they do not overlap (a morning and an afternoon with the same
//! team are common practice, no source), and the page then says so. Another site on the same day is refused: the road
//! between two counties is no break.

use chrono::{NaiveDate, NaiveDateTime};

use super::ids::{SiteId, StaffId};
use super::refusal::Refusal;

/// One meeting: its instants in UTC and its day on the site's own calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    /// First moment.
    pub from: NaiveDateTime,
    /// Last moment.
    pub until: NaiveDateTime,
    /// The day at the site.
    pub on: NaiveDate,
}

impl Span {
    /// Whether the two share a moment. One that ends when the other begins does not.
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        self.from < other.until && other.from < self.until
    }
}

/// Where a session takes place, when, and with whom.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Booking {
    /// The site.
    pub site: SiteId,
    /// Its name.
    pub site_name: String,
    /// Its meetings.
    pub spans: Vec<Span>,
    /// Its team.
    pub team: Vec<StaffId>,
}

/// Somebody works twice on a day at one site, at times that do not overlap: allowed, and said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TwiceThatDay {
    /// Whose day it is.
    pub name: String,
    /// The day.
    pub on: NaiveDate,
}

/// Looks at a wanted session beside the others.
///
/// # Errors
/// `SiteTaken` and `PersonPlannedTwice`, the site first.
pub fn beside(wanted: &Booking, names: &[(StaffId, String)], others: &[Booking]) -> Result<Vec<TwiceThatDay>, Refusal> {
    for (span, _, other) in pairs(wanted, others) {
        if other.site == wanted.site && other.spans.iter().any(|theirs| span.overlaps(theirs)) {
            return Err(Refusal::SiteTaken { site: wanted.site_name.clone(), on: span.on });
        }
    }
    let mut twice = Vec::new();
    for (id, name) in names {
        for (span, theirs, other) in pairs(wanted, others).filter(|(.., other)| other.team.contains(id)) {
            if span.on != theirs.on && !span.overlaps(theirs) {
                continue;
            }
            if other.site != wanted.site || span.overlaps(theirs) {
                let (name, site) = (name.clone(), other.site_name.clone());
                return Err(Refusal::PersonPlannedTwice { name, site, on: span.on });
            }
            let found = TwiceThatDay { name: name.clone(), on: span.on };
            if !twice.contains(&found) {
                twice.push(found);
            }
        }
    }
    Ok(twice)
}

/// The first day on which two sessions would need the same machine: a machine is at one site a day, and at that site with
/// one session at a time.
#[must_use]
pub fn both_need(one: &Booking, other: &Booking) -> Option<NaiveDate> {
    let meets = |span: &&Span| {
        let apart = |theirs: &Span| (span.on != theirs.on || one.site == other.site) && !span.overlaps(theirs);
        !other.spans.iter().all(apart)
    };
    one.spans.iter().find(meets).map(|span| span.on)
}

/// Every meeting of the wanted session with every meeting of the others.
fn pairs<'a>(wanted: &'a Booking, others: &'a [Booking]) -> impl Iterator<Item = (&'a Span, &'a Span, &'a Booking)> {
    let with = |other: &'a Booking| {
        wanted.spans.iter().flat_map(move |span| other.spans.iter().map(move |theirs| (span, theirs, other)))
    };
    others.iter().flat_map(with)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn day(d: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 6, d).expect("a day of June")
    }

    fn span(d: u32, from: u32, until: u32) -> Span {
        let at = |hour| day(d).and_hms_opt(hour, 0, 0).expect("an hour");
        Span { from: at(from), until: at(until), on: day(d) }
    }

    fn booking(site: i64, spans: &[Span], team: &[i64]) -> Booking {
        let team = team.iter().map(|id| StaffId::new(*id)).collect();
        Booking { site: SiteId::new(site), site_name: format!("Site {site}"), spans: spans.to_vec(), team }
    }

    fn looked_at(wanted: &Booking, others: &[Booking]) -> Result<Vec<TwiceThatDay>, Refusal> {
        let names: Vec<_> = wanted.team.iter().map(|id| (*id, format!("Person {}", id.raw()))).collect();
        beside(wanted, &names, others)
    }

    #[test]
    fn saturday_4_a_site_holds_one_session_at_a_time_on_any_of_its_days() {
        let two_mornings = booking(1, &[span(13, 8, 12), span(14, 8, 12)], &[1]);
        let taken = |on| Err(Refusal::SiteTaken { site: "Site 1".into(), on: day(on) });
        for (wanted, answer) in [
            (booking(1, &[span(13, 11, 15)], &[2]), taken(13)),
            (booking(1, &[span(12, 8, 12), span(14, 9, 10)], &[2]), taken(14)),
            (booking(1, &[span(13, 12, 15)], &[2]), Ok(vec![])),
            (booking(2, &[span(13, 8, 12)], &[2]), Ok(vec![])),
        ] {
            assert_eq!(looked_at(&wanted, std::slice::from_ref(&two_mornings)), answer, "{wanted:?}");
        }
    }

    #[test]
    fn saturday_4_a_person_is_at_one_site_a_day_and_twice_there_only_one_after_the_other() {
        let other = [booking(1, &[span(13, 8, 12)], &[7])];
        let refused = Err(Refusal::PersonPlannedTwice { name: "Person 7".into(), site: "Site 1".into(), on: day(13) });
        assert_eq!(looked_at(&booking(2, &[span(13, 8, 12)], &[7]), &other), refused);
        assert_eq!(looked_at(&booking(2, &[span(13, 14, 17)], &[7]), &other), refused, "another site that day");
        assert_eq!(looked_at(&booking(2, &[span(14, 8, 12)], &[7]), &other), Ok(vec![]));
        let said = vec![TwiceThatDay { name: "Person 7".into(), on: day(13) }];
        assert_eq!(looked_at(&booking(1, &[span(13, 13, 17)], &[7, 8]), &other), Ok(said));
    }

    #[test]
    fn day_1_a_machine_is_at_one_site_a_day_and_there_with_one_session_at_a_time() {
        let wanted = booking(1, &[span(13, 8, 12), span(20, 8, 12)], &[]);
        for (other, on) in [
            (booking(1, &[span(13, 12, 16)], &[]), None),
            (booking(1, &[span(13, 11, 16)], &[]), Some(13)),
            (booking(2, &[span(13, 14, 16)], &[]), Some(13)),
            (booking(2, &[span(14, 8, 12)], &[]), None),
            (booking(2, &[span(14, 8, 12), span(20, 14, 16)], &[]), Some(20)),
            (booking(1, &[], &[]), None),
        ] {
            assert_eq!(both_need(&wanted, &other), on.map(day), "{other:?}");
            assert_eq!(both_need(&other, &wanted), on.map(day), "{other:?}");
        }
    }

    proptest! {
        #[test]
        fn day_1_two_sessions_need_a_machine_both_or_neither(
            a in (1i64..3, 12u32..14, 0u32..20, 1u32..4), b in (1i64..3, 12u32..14, 0u32..20, 1u32..4),
        ) {
            let made = |(site, on, from, hours): (i64, u32, u32, u32)| booking(site, &[span(on, from, from + hours)], &[]);
            prop_assert_eq!(both_need(&made(a), &made(b)), both_need(&made(b), &made(a)));
        }

        #[test]
        fn saturday_4_two_sessions_answer_each_other_alike(
            a in (1i64..3, 0u32..20, 1u32..4, 1i64..3), b in (1i64..3, 0u32..20, 1u32..4, 1i64..3),
        ) {
            let made = |(site, from, hours, person): (i64, u32, u32, i64)| {
                booking(site, &[span(13, from, from + hours)], &[person])
            };
            let (one, other) = (made(a), made(b));
            let refused = |wanted: &Booking, beside: &Booking| looked_at(wanted, std::slice::from_ref(beside)).is_err();
            prop_assert_eq!(refused(&one, &other), refused(&other, &one));
        }
    }
}
