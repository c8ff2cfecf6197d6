//! What it costs to give a rider a machine: 0 for one that fits by a check of today, more the less is known, none for a pair
//! that is never made. Common practice, no source: the order of the steps is the program's own.

use super::MOST_COST;
use crate::domain::fit::{Finding, LikelyFit, Outcome, Unit};
use crate::domain::gear::{HeadRange, SizeFinding};
use crate::domain::measures::Length;

/// More room than this makes no pair better: a rider for whom a machine is far too small is the age limit's to find.
const AMPLE: Length = Length::from_um(60_000);
/// What a pair at its limit costs more than one with ample room; less than a category too far.
const MOST_TIGHT: i64 = 180;

/// One rider and one machine.
#[derive(Clone, Copy, Debug)]
pub struct Pair<'a> {
    /// Whether age, category, engine, limiter and state let anybody of this age on it at all.
    pub is_allowed: bool,
    /// What the latest fit check of this session says.
    pub checked: Option<Outcome>,
    /// Whether a check of another session that is not too long ago let the rider start.
    pub fitted_before: bool,
    /// What measures alone let one expect.
    pub likely: &'a LikelyFit,
    /// Years that the rider is over the least age of the category.
    pub years_over: i64,
    /// The machine's hours in thousandths of those of the machine with the most.
    pub wear: i64,
}

impl Pair<'_> {
    /// Its cost, 0 to `MOST_COST`; none for a pair that is never made.
    #[must_use]
    pub fn cost(&self) -> Option<i64> {
        if !self.is_allowed || self.checked == Some(Outcome::NotYet) {
            return None;
        }
        let fit = match self.checked {
            Some(Outcome::MayStart) => 0,
            _ if self.fitted_before => 1_000,
            _ => self.expected()?,
        };
        // Of machines that fit alike, the category nearest to the age, then the one that ran least.
        let years = self.years_over.clamp(0, 9) * 200;
        Some((fit + years + self.wear.clamp(0, 1_000) / 10).min(MOST_COST))
    }

    /// By measures: none when a mandatory limit is clearly missed.
    fn expected(&self) -> Option<i64> {
        let judged = || self.likely.reasons.iter().filter(|reason| reason.limit.is_some());
        let missed = |reason: &&crate::domain::fit::LikelyReason| reason.finding == Finding::NotMet;
        if judged().filter(missed).any(|reason| reason.mandatory && !reason.is_close) {
            return None;
        }
        if judged().any(|reason| missed(&reason) && reason.mandatory) {
            return Some(6_000);
        }
        let missed = i64::try_from(judged().filter(missed).count()).unwrap_or(i64::MAX);
        let unknown = judged().filter(|reason| reason.finding == Finding::NotMeasured).count();
        let close = judged().any(|reason| reason.is_close);
        let base = if unknown > 0 { 3_500 } else { 2_000 };
        Some(base + self.tightness() + if close { 500 } else { 0 } + missed.min(3) * 800)
    }

    /// How little the tightest estimate leaves to its limit: 0 from `AMPLE` on, `MOST_TIGHT` at the limit or beyond it.
    fn tightness(&self) -> i64 {
        let lengths = self.likely.reasons.iter().filter(|reason| reason.unit == Unit::Micrometre);
        let least = lengths.filter_map(|reason| reason.margin).min().map_or(0, |margin| margin.clamp(0, AMPLE.um()));
        MOST_TIGHT - least * MOST_TIGHT / AMPLE.um()
    }
}

/// What it costs to give a rider a helmet for heads of a range: of those that hold the head the narrowest is best; before
/// the head is measured every helmet is a poor guess. None for a helmet that does not hold it.
#[must_use]
pub fn helmet_cost(range: HeadRange, head: Option<Length>) -> Option<i64> {
    let Some(head) = head else { return Some(8_000) };
    let width_mm = (range.most - range.least).um() / 1_000;
    (range.finding(head) == SizeFinding::InRange).then(|| width_mm.clamp(0, 5_000))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fit::{likely_fit, shipped_rules};
    use crate::domain::machine::Dimensions;
    use crate::domain::measures::Measures;
    use chrono::NaiveDate;

    fn likely(inseam_mm: Option<i64>) -> LikelyFit {
        let mm = |mm: i64| Length::from_um(mm * 1_000);
        let rider = Measures {
            height: None,
            weight: None,
            inseam: inseam_mm.map(mm),
            reach: None,
            hand: Some(mm(70)),
            foot: Some(mm(200)),
            head: None,
            taken_on: NaiveDate::from_ymd_opt(2026, 6, 13).expect("a day"),
        };
        let machine = Dimensions {
            seat_to_rest: Some(mm(400)),
            grip_to_lever: Some(mm(60)),
            rest_to_pedal: Some(mm(180)),
            dry_weight: None,
        };
        likely_fit(&shipped_rules(), &rider, &machine)
    }

    fn pair(likely: &LikelyFit) -> Pair<'_> {
        Pair { is_allowed: true, checked: None, fitted_before: false, likely, years_over: 0, wear: 0 }
    }

    /// Room above the seat of at least 3 inches is mandatory (Minnesota DNR); within a quarter inch it is measured again.
    #[test]
    fn day_3_a_pair_is_better_the_more_is_known_and_never_made_against_a_clear_limit() {
        let (room, close, none, unknown) = (likely(Some(500)), likely(Some(472)), likely(Some(440)), likely(None));
        assert_eq!(pair(&none).cost(), None, "40 mm of room where 76.2 are needed");
        assert_eq!(Pair { is_allowed: false, ..pair(&room) }.cost(), None);
        assert_eq!(Pair { checked: Some(Outcome::NotYet), ..pair(&room) }.cost(), None);
        let checked = Pair { checked: Some(Outcome::MayStart), ..pair(&none) };
        assert_eq!(checked.cost(), Some(0), "a check with the rider on the machine counts more than measures");
        let order = [
            checked.cost(),
            Pair { fitted_before: true, ..pair(&unknown) }.cost(),
            pair(&room).cost(),
            pair(&unknown).cost(),
            pair(&close).cost(),
        ];
        assert!(order.iter().all(Option::is_some) && order.is_sorted() && order[0] < order[4], "{order:?}");
    }

    #[test]
    fn day_3_of_pairs_by_measures_the_one_with_more_room_to_the_tightest_limit_is_better() {
        let cost = |inseam_mm| pair(&likely(Some(inseam_mm))).cost().expect("a pair");
        // The lever reach of 10 mm and the pedal reach of 20 mm stay the same; the room grows from 8 to 24 mm inside.
        assert!(cost(484) > cost(486), "{} {}", cost(484), cost(486));
        assert_eq!(cost(500), cost(510), "the lever is the tightest now");
    }

    #[test]
    fn day_3_of_helmets_that_hold_the_head_the_narrowest_comes_first_and_no_other_is_given() {
        let range = |least, most| HeadRange { least: Length::from_cm(least), most: Length::from_cm(most) };
        let head = Some(Length::from_cm(55));
        let cost = |range| helmet_cost(range, head);
        assert!(cost(range(54, 56)).is_some() && cost(range(54, 56)) < cost(range(53, 57)));
        assert_eq!((cost(range(56, 58)), cost(range(52, 54))), (None, None));
        assert!(helmet_cost(range(54, 56), None) > cost(range(50, 60)), "a guess is the last choice");
    }

    #[test]
    fn day_3_of_machines_that_fit_alike_the_nearest_category_comes_first_and_then_the_one_that_ran_least() {
        let room = likely(Some(500));
        let cost = |years_over, wear| Pair { years_over, wear, ..pair(&room) }.cost().expect("a pair");
        assert!(cost(0, 1_000) < cost(1, 0) && cost(0, 0) < cost(0, 1_000) && cost(40, 9_999) <= MOST_COST);
    }
}
