//! What it costs to give a rider a machine: 0 for one that fits by a check of today, more the less is known, none for a pair
//! that is never made. Common practice, no source: the order of the steps is the program's own.

use super::MOST_COST;
use crate::domain::fit::{Finding, LikelyFit, Outcome};

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
        Some(base + if close { 500 } else { 0 } + missed.min(3) * 800)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fit::{likely_fit, shipped_rules};
    use crate::domain::machine::Dimensions;
    use crate::domain::measures::{Length, Measures};
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
    fn day_3_of_machines_that_fit_alike_the_nearest_category_comes_first_and_then_the_one_that_ran_least() {
        let room = likely(Some(500));
        let cost = |years_over, wear| Pair { years_over, wear, ..pair(&room) }.cost().expect("a pair");
        assert!(cost(0, 1_000) < cost(1, 0) && cost(0, 0) < cost(0, 1_000) && cost(40, 9_999) <= MOST_COST);
    }
}
