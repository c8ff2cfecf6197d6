//! Whether the helmets on hand are enough for the heads that are to come: session by session, which sizes run out first, and
//! which to order. Takes ranges and heads; must not know whose they are.

use std::collections::BTreeMap;

use super::{HeadRange, SizeFinding};
use crate::domain::measures::Length;

/// Helmets of one size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shelf {
    /// The heads that they are made for.
    pub range: HeadRange,
    /// How many there are.
    pub count: usize,
    /// At how many of the sessions, from the first on, they may still be handed out; helmets age.
    pub serves: usize,
}

/// What is to be expected.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Forecast {
    /// How many of each shelf are left after all sessions; a shelf that ages out before the last keeps what it has.
    pub left: Vec<usize>,
    /// For each session the heads that get none, of all up to it, the smallest first.
    pub without: Vec<Vec<Length>>,
}

impl Forecast {
    /// The first session, by its place, at which somebody gets none.
    #[must_use]
    pub fn short_at(&self) -> Option<usize> {
        self.without.iter().position(|heads| !heads.is_empty())
    }

    /// Heads that get none at all.
    #[must_use]
    pub fn never(&self) -> &[Length] {
        self.without.last().map_or(&[], Vec::as_slice)
    }
}

/// Gives every head of every session a helmet to keep, as many as can have one. Sessions come in their order. Careful side: up to
/// a session only those shelves count that may still be handed out there.
#[must_use]
pub fn forecast(shelves: &[Shelf], sessions: &[Vec<Length>]) -> Forecast {
    let up_to = |last: usize| {
        let heads: Vec<Length> = sessions[..=last].iter().flatten().copied().collect();
        hand_out(shelves, &heads, last)
    };
    let without: Vec<Vec<Length>> = (0..sessions.len()).map(|last| up_to(last).1).collect();
    let left = sessions
        .len()
        .checked_sub(1)
        .map_or_else(|| shelves.iter().map(|one| one.count).collect(), |last| up_to(last).0);
    Forecast { left, without }
}

/// Heads in their order, each from the fitting shelf whose range ends first: as many as can get one do (F. Glover 1967,
/// matching in a convex graph).
fn hand_out(shelves: &[Shelf], heads: &[Length], session: usize) -> (Vec<usize>, Vec<Length>) {
    let mut left: Vec<usize> = shelves.iter().map(|shelf| shelf.count).collect();
    let mut sorted = heads.to_vec();
    sorted.sort_unstable();
    let mut without = Vec::new();
    for head in sorted {
        let serves = |at: &usize| left[*at] > 0 && shelves[*at].serves > session;
        let fits = |at: &usize| serves(at) && shelves[*at].range.finding(head) == SizeFinding::InRange;
        match (0..shelves.len()).filter(fits).min_by_key(|at| (shelves[*at].range.most, *at)) {
            Some(at) => left[at] -= 1,
            None => without.push(head),
        }
    }
    (left, without)
}

/// What to order for heads that get none: of each size how many, the size whose range ends first for each head; and the heads
/// for which the program never had a size.
#[must_use]
pub fn order(sizes: &[HeadRange], without: &[Length]) -> (BTreeMap<usize, usize>, Vec<Length>) {
    let (mut wanted, mut unknown) = (BTreeMap::new(), Vec::new());
    for head in without {
        let fits = |at: &usize| sizes[*at].finding(*head) == SizeFinding::InRange;
        match (0..sizes.len()).filter(fits).min_by_key(|at| (sizes[*at].most, *at)) {
            Some(at) => *wanted.entry(at).or_insert(0) += 1,
            None => unknown.push(*head),
        }
    }
    (wanted, unknown)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn shelf(least: i64, most: i64, count: usize) -> Shelf {
        Shelf {
            range: HeadRange { least: Length::from_cm(least), most: Length::from_cm(most) },
            count,
            serves: usize::MAX,
        }
    }

    fn heads(cm: &[i64]) -> Vec<Length> {
        cm.iter().copied().map(Length::from_cm).collect()
    }

    #[test]
    fn day_4_sizes_run_out_at_the_session_that_finds_none_left() {
        let shelves = [shelf(51, 52, 2), shelf(53, 54, 1)];
        let found = forecast(&shelves, &[heads(&[51, 53]), heads(&[52]), heads(&[52, 54])]);
        assert_eq!(
            (found.left.as_slice(), found.short_at(), found.never()),
            (&[0, 0][..], Some(2), &heads(&[52, 54])[..])
        );
        let enough = forecast(&shelves, &[heads(&[51]), heads(&[54])]);
        assert_eq!((enough.left.as_slice(), enough.short_at(), enough.never()), (&[1, 0][..], None, &[][..]));
        // Helmets that are too old by the second session serve the first alone.
        let aged = [Shelf { serves: 1, ..shelf(51, 52, 2) }];
        let found = forecast(&aged, &[heads(&[51]), heads(&[52])]);
        assert_eq!(found.without, [heads(&[]), heads(&[51, 52])]);
        // A head between two sizes takes the one that leaves the other for whom nothing else fits.
        let overlapping = [shelf(52, 55, 1), shelf(54, 57, 1)];
        assert_eq!(forecast(&overlapping, &[heads(&[54, 56])]).never(), []);
        assert_eq!(forecast(&overlapping, &[heads(&[53, 54])]).never(), []);
    }

    #[test]
    fn day_4_the_list_to_order_names_a_size_for_each_head_and_those_for_which_there_is_none() {
        let sizes = [shelf(51, 52, 0).range, shelf(52, 54, 0).range];
        let (wanted, unknown) = order(&sizes, &heads(&[51, 52, 54, 61]));
        assert_eq!((wanted, unknown), (BTreeMap::from([(0, 2), (1, 1)]), heads(&[61])));
    }

    /// As many as a search through augmenting paths finds (C. Berge 1957).
    fn most(shelves: &[Shelf], heads: &[Length]) -> usize {
        let helmets: Vec<HeadRange> =
            shelves.iter().flat_map(|shelf| std::iter::repeat_n(shelf.range, shelf.count)).collect();
        let mut holder: Vec<Option<usize>> = vec![None; helmets.len()];
        fn place(
            head: usize,
            heads: &[Length],
            helmets: &[HeadRange],
            holder: &mut [Option<usize>],
            tried: &mut [bool],
        ) -> bool {
            for at in 0..helmets.len() {
                if tried[at] || helmets[at].finding(heads[head]) != SizeFinding::InRange {
                    continue;
                }
                tried[at] = true;
                if holder[at].is_none_or(|other| place(other, heads, helmets, holder, tried)) {
                    holder[at] = Some(head);
                    return true;
                }
            }
            false
        }
        (0..heads.len())
            .filter(|head| place(*head, heads, &helmets, &mut holder, &mut vec![false; helmets.len()]))
            .count()
    }

    proptest! {
        #[test]
        fn day_4_as_many_heads_get_a_helmet_as_any_handing_out_could_serve(
            shelves in prop::collection::vec((48..64_i64, 0..4_i64, 0..4_usize), 0..7),
            cm in prop::collection::vec(46..66_i64, 0..12),
        ) {
            let shelves: Vec<Shelf> =
                shelves.into_iter().map(|(least, width, count)| shelf(least, least + width, count)).collect();
            let heads = heads(&cm);
            let found = forecast(&shelves, std::slice::from_ref(&heads));
            prop_assert_eq!(heads.len() - found.never().len(), most(&shelves, &heads));
            let before: usize = shelves.iter().map(|shelf| shelf.count).sum();
            prop_assert_eq!(before - found.left.iter().sum::<usize>(), heads.len() - found.never().len());
            prop_assert_eq!(found.short_at().is_some(), !found.never().is_empty());
        }
    }
}
