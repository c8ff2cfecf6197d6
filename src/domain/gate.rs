//! What must hold before an act is taken: a seat, a consent, the child here, gear and fit before any wheel turns.
//! Decides from values alone. Helmets and fit checks have rules of their own, in `gear` and `fit`.

use super::acts::{Act, Body, TurnedAwayFor};
use super::curriculum::{CheckCode, Curriculum};
use super::day::{Day, marking_of};
use super::gear::Way;
use super::machine::today::Parked;
use super::proof::{Proof, ProofRule};
use super::refusal::{GearRefusal, Refusal};
use super::registration::Outcome;
use super::release::may_release;
use super::skill::{Mark, Marked, Marking, OrderKey, may_mark};

/// One rider as everything stands before the act.
#[derive(Clone, Copy, Debug)]
pub struct Before<'a> {
    /// Whether the registration is a confirmed seat of this session.
    pub has_seat: bool,
    /// Whether a consent to ride stands.
    pub has_consent: bool,
    /// What the acts so far come to.
    pub day: &'a Day,
    /// The session's curriculum.
    pub curriculum: &'a Curriculum,
    /// Names of people who must not take the child.
    pub not_release: &'a [String],
    /// How the rider stands to the earlier part that the course may ask for.
    pub proof: Proof,
    /// Why the machine of the rider's fit check stays parked; none when it may be ridden.
    pub parked: Option<Parked>,
}

impl Before<'_> {
    /// Whether the act may be taken.
    ///
    /// # Errors
    /// The first rule that says no.
    pub fn may_take(&self, act: &Act) -> Result<(), Refusal> {
        match &act.body {
            // An undo has rules of its own, in `undo`.
            Body::Undo { .. } => Ok(()),
            Body::Count { .. }
            | Body::DayList { .. }
            | Body::LookOver { .. }
            | Body::Fault { .. }
            | Body::GroupPlace { .. }
            | Body::Area { .. }
            | Body::GoOn { .. }
            | Body::Weather { .. }
            | Body::Thunder
            | Body::WeatherCall { .. }
            | Body::NearMiss { .. }
            | Body::Incident { .. }
            | Body::HandOver { .. } => Ok(()),
            Body::Group { .. } | Body::Assign { .. } => self.has_a_seat(),
            Body::CheckIn { .. } => self.has_a_place(),
            Body::Measures { .. } | Body::Fit { .. } | Body::Gear { .. } => self.is_here_to_ride(),
            Body::Helmet { way, .. } => self.is_here_to_ride().and_then(|()| self.has_no_helmet(*way)),
            Body::HelmetCheck { lot, .. } => self.is_here_to_ride().and_then(|()| self.wears(lot.as_deref())),
            Body::HelmetBack { lot, .. } => self.was_lent(lot),
            Body::Receipt { lot, .. } => self.wears(Some(lot)),
            Body::Mark { .. } | Body::LessonMarks { .. } => self.is_here_to_ride().and_then(|()| self.mark_stands(act)),
            Body::Outcome { outcome, why } => self.may_end(*outcome, *why),
            Body::Proof { .. } if self.proof.rule == ProofRule::None => Err(Refusal::NoProofAsked),
            Body::Proof { .. } => self.has_a_seat(),
            Body::CheckOut { adult } => self.is_here().and_then(|()| may_release(self.not_release, adult)),
        }
    }

    /// Why this rider could not be marked "meets" at a check now; for the page, before anybody taps.
    pub fn why_not(&self, check: CheckCode) -> Option<Refusal> {
        let order = OrderKey { counter: i64::MAX, device: String::new(), seq: i64::MAX };
        let marking = Marking {
            what: Marked::Check(check),
            mark: Mark::NeedsPractice,
            by_lead: false,
            reason: None,
            clears: None,
            order,
            act: [u8::MAX; 16],
        };
        self.is_here_to_ride().and_then(|()| self.marking_stands(&marking)).err()
    }

    /// Whether gear, helmet, fit, the machine and the proof of an earlier part let this rider start.
    ///
    /// # Errors
    /// The missing proof, the missing pieces of gear, the helmet, that no fit check lets the rider start, or the machine as it
    /// stands.
    pub fn may_ride(&self) -> Result<(), Refusal> {
        if self.proof.holds_back() {
            return Err(Refusal::ProofMissing);
        }
        let missing = self.day.gear_missing();
        if !missing.is_empty() {
            let pieces = missing.into_iter().map(|piece| piece.words().to_owned()).collect();
            return Err(Refusal::GearMissing { pieces });
        }
        match &self.day.helmet_check {
            None => return Err(Refusal::Gear(GearRefusal::NotChecked)),
            Some(check) if !check.is_right() => return Err(Refusal::Gear(GearRefusal::NotRight)),
            Some(_) => {}
        }
        match &self.day.fit {
            Some((number, _)) if self.day.fit_lets_start() => match self.parked {
                Some(why) => Err(Refusal::MachineParked { number: number.clone(), why }),
                None => Ok(()),
            },
            _ => Err(Refusal::NoFit),
        }
    }

    fn has_a_seat(&self) -> Result<(), Refusal> {
        if self.has_seat { Ok(()) } else { Err(Refusal::NoSeat) }
    }

    fn has_a_place(&self) -> Result<(), Refusal> {
        match (self.has_seat, self.has_consent) {
            (false, _) => Err(Refusal::NoSeat),
            (true, false) => Err(Refusal::NoConsent),
            (true, true) => Ok(()),
        }
    }

    fn is_here(&self) -> Result<(), Refusal> {
        if self.day.is_here() { Ok(()) } else { Err(Refusal::RiderNotHere) }
    }

    fn is_here_to_ride(&self) -> Result<(), Refusal> {
        self.has_a_place().and_then(|()| self.is_here())
    }

    fn has_no_helmet(&self, way: Way) -> Result<(), Refusal> {
        let has_one = self.day.helmets.iter().any(|(_, given)| *given == way);
        if has_one { Err(Refusal::Gear(GearRefusal::HelmetAlready)) } else { Ok(()) }
    }

    /// A helmet of the program's that is named is one that the rider has.
    fn wears(&self, lot: Option<&str>) -> Result<(), Refusal> {
        let has = |lot: &str| self.day.helmets.iter().any(|(other, _)| other == lot);
        if lot.is_none_or(has) { Ok(()) } else { Err(Refusal::Gear(GearRefusal::NotTheirs)) }
    }

    fn was_lent(&self, lot: &str) -> Result<(), Refusal> {
        if self.day.has_helmet(lot, Way::Lent) {
            return Ok(());
        }
        let is_back = self.day.helmets_back.iter().any(|(other, _)| other == lot);
        Err(Refusal::Gear(if is_back { GearRefusal::BackAlready } else { GearRefusal::NotTheirs }))
    }

    fn mark_stands(&self, act: &Act) -> Result<(), Refusal> {
        marking_of(act).map_or(Ok(()), |marking| self.marking_stands(&marking))
    }

    /// A mark that says the rider rode needs gear and fit. A stop for safety is always taken.
    fn marking_stands(&self, marking: &Marking) -> Result<(), Refusal> {
        let lesson = match marking.what {
            Marked::Check(code) => code.lesson(),
            Marked::Lesson(number) => number,
        };
        let says_rode = matches!(marking.mark, Mark::Meets | Mark::NeedsPractice);
        if says_rode && self.curriculum.lesson(lesson).is_some_and(|lesson| lesson.riding) {
            self.may_ride()?;
        }
        may_mark(self.curriculum, &self.day.attempts, marking)?;
        Ok(())
    }

    fn may_end(&self, outcome: Outcome, why: Option<TurnedAwayFor>) -> Result<(), Refusal> {
        let came = self.day.arrived_at.is_some();
        match outcome {
            _ if !self.has_seat => Err(Refusal::NoSeat),
            Outcome::TurnedAway if why.is_none() => Err(Refusal::NoteNeeded),
            Outcome::TurnedAway => Ok(()),
            // Somebody checked the child in meanwhile.
            Outcome::Absent if came => Err(Refusal::WorldMoved),
            Outcome::Absent => Ok(()),
            _ if came => Ok(()),
            _ => Err(Refusal::RiderNotHere),
        }
    }
}

#[cfg(test)]
mod tests;
