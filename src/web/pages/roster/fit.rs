//! Rider and machine: which to try, and one fit check with its verdict. Numbers are told, never compared, here.

use askama::Template;

use crate::domain::fit::{About, Finding, Outcome, Reason, Seen, Unit, number_text};
use crate::domain::words::Lang;
use crate::language;
use crate::services::field_act::ActIds;
use crate::services::roster::fit::{self, Choice, CriterionShown, FitPage, Fitted};
use crate::web::answer::Answer;
use crate::web::form::FieldErrors;
use crate::web::page::Page;
use crate::web::side_view::SideView;

use super::{Ask, Fields, Said, answered};

#[derive(Template)]
#[template(path = "roster/machines.html")]
struct Machines {
    page: Page,
    view: Choice,
    ids: ActIds,
}

impl Machines {
    fn back(&self) -> String {
        format!("/riders/{}/fit", self.view.line.reference)
    }
    /// What a fit check of another session says.
    fn fitted(&self, fitted: &Fitted) -> String {
        let on = language::date_short(Lang::En, fitted.on);
        match fitted.is_stale {
            false => format!("Fitted on it on {on}."),
            true => format!("Fitted on it on {on}. That is too long ago: children grow."),
        }
    }
}

#[derive(Template)]
#[template(path = "roster/fit.html")]
struct Show {
    page: Page,
    view: FitPage,
    ids: ActIds,
    errors: FieldErrors,
    typed: Fields,
}

/// One of the four answers to a criterion.
struct Tap {
    kind: &'static str,
    shape: &'static str,
    sends: &'static str,
    words: &'static str,
    pressed: bool,
}

/// The two number fields of a criterion.
struct NumberAsk {
    name: String,
    label: String,
    value: String,
    hint: &'static str,
    again_name: String,
    again_value: String,
}

/// The beginning of a number field's name tells its unit.
pub(super) fn stem(unit: Unit) -> &'static str {
    match unit {
        Unit::Micrometre => "length",
        Unit::TenthDegree => "angle",
        Unit::PerMille | Unit::Year | Unit::TenthCc | Unit::TenthMph => "number",
    }
}

impl Show {
    fn side(&self) -> SideView {
        // The room is drawn; every other number that was measured stands in words.
        let is_room = |one: &CriterionShown| one.seen.deciding_number() == self.view.room.map(|room| room.um());
        let others = self.view.criteria.iter().filter(|one| one.seen.deciding_number().is_some() && !is_room(one));
        let words = |one: &CriterionShown| {
            let (_, unit) = one.number.as_ref()?;
            Some(format!("{} {}", one.label, number_text(one.seen.deciding_number()?, *unit)))
        };
        SideView::of(&self.view.machine, &self.view.measures, self.view.room, others.filter_map(words).collect())
    }
    fn back(&self) -> String {
        format!("/riders/{}/fit/{}#verdict", self.view.line.reference, self.view.machine.number)
    }

    fn verdict_title(&self) -> String {
        let given = &self.view.line.given;
        match self.view.verdict.outcome {
            Outcome::MayStart => format!("{given} may start on this machine"),
            Outcome::NotYet => format!("{given} does not start yet"),
        }
    }

    fn name(&self, about: &About) -> String {
        match about {
            About::Criterion(key) => {
                let found = self.view.criteria.iter().find(|one| one.key == *key);
                found.map_or_else(|| key.as_str().to_owned(), |one| one.label.to_lowercase())
            }
            About::LeastAge(_) => "the rider's age".to_owned(),
            About::EngineSize => "the engine's size".to_owned(),
            About::Limiter(_) => "the speed limiter".to_owned(),
            About::MachineState(_) => "the machine is not ready".to_owned(),
        }
    }

    /// What keeps the rider from starting, by kind, with the names.
    fn holding_back(&self) -> Vec<(&'static str, String)> {
        let names = |wanted: fn(&Reason) -> bool| {
            let these = self.view.verdict.holding_back().filter(|reason| wanted(reason));
            these.map(|reason| self.name(&reason.about)).collect::<Vec<_>>().join(", ")
        };
        let kinds = [
            ("Not measured, and mandatory:", names(|r| r.finding == Finding::NotMeasured)),
            ("Not met, and mandatory:", names(|r| r.finding == Finding::NotMet && r.mandatory)),
            ("Not met, and the lead gave no reason:", names(|r| r.finding == Finding::NotMet && !r.mandatory)),
            ("The adaptation is not named:", names(|r| r.finding == Finding::AdaptationNotNamed)),
        ];
        kinds.into_iter().filter(|(_, names)| !names.is_empty()).collect()
    }

    fn again_names(&self) -> String {
        let close = self.view.verdict.reasons.iter().filter(|reason| reason.measure_again);
        close.map(|reason| self.name(&reason.about)).collect::<Vec<_>>().join(", ")
    }

    fn tally(&self) -> String {
        let count = |finding| self.view.criteria.iter().filter(|one| one.reason.finding == finding).count();
        format!(
            "So far: {} met, {} met with adaptation, {} not met, {} not measured. A missing measurement is never a pass.",
            count(Finding::Met),
            count(Finding::MetWithAdaptation),
            count(Finding::NotMet) + count(Finding::AdaptationNotNamed),
            count(Finding::NotMeasured),
        )
    }

    /// A limit with the number that met or missed it.
    fn limit_of(&self, reason: &Reason) -> Option<String> {
        let (unit, limit) = reason.unit.zip(reason.limit)?;
        let number = reason.number.map_or(String::new(), |number| format!("{}, ", number_text(number, unit)));
        Some(format!("{number}limit {}", limit.text(unit)))
    }

    /// Number, limit and margin of a criterion in one line.
    fn figures(&self, one: &CriterionShown) -> Option<String> {
        let reason = &one.reason;
        let unit = reason.unit?;
        let number = reason.number.map(|number| number_text(number, unit));
        let limit = reason.limit.map(|limit| format!("Limit: {}", limit.text(unit)));
        let margin = reason.margin.map(|margin| match margin {
            short if short < 0 => format!("Short by {}", number_text(-short, unit)),
            inside => format!("Margin {}", number_text(inside, unit)),
        });
        let parts: Vec<String> = [number, limit, margin].into_iter().flatten().collect();
        (!parts.is_empty()).then(|| format!("{}.", parts.join(". ")))
    }

    fn remarks(&self, one: &CriterionShown) -> Vec<(&'static str, String)> {
        let mut said = Vec::new();
        if one.reason.measure_again {
            said.push(("Measure again:", "close to the limit. The second number decides.".to_owned()));
        }
        if one.reason.tap_disagrees {
            said.push(("Number and eye disagree.", "The one that says not met decides.".to_owned()));
        }
        if one.reason.finding == Finding::AdaptationNotNamed {
            said.push(("Name the adaptation.", "The lead's note makes it pass.".to_owned()));
        }
        if let Some(note) = &one.reason.adaptation {
            said.push(("Lead's note:", note.clone()));
        }
        if let Some(why) = &one.reason.overridden {
            said.push(("The lead lets the rider start:", why.clone()));
        }
        said
    }

    fn taps(&self, one: &CriterionShown) -> [Tap; 4] {
        let kept = match one.seen.seen {
            Seen::Met => "met",
            Seen::NotMet => "not_met",
            Seen::MetWithAdaptation { .. } => "adapted",
            Seen::NotMeasured => "not_measured",
        };
        let now = self.typed.or(&format!("seen_{}", one.key.as_str()), kept);
        let tap = |kind, shape, sends, words| Tap { kind, shape, sends, words, pressed: now == sends };
        [
            tap("met", "met", "met", "Met"),
            tap("not-met", "notmet", "not_met", "Not met"),
            tap("adapted", "adapted", "adapted", "Met with adaptation"),
            tap("not-measured", "none", "not_measured", "Not measured"),
        ]
    }

    fn number(&self, one: &CriterionShown) -> Option<NumberAsk> {
        let (what, unit) = one.number.as_ref()?;
        let key = one.key.as_str();
        let (name, again_name) = (format!("{}_{key}", stem(*unit)), format!("{}2_{key}", stem(*unit)));
        let kept = |number: Option<i64>| number.map_or(String::new(), |number| typed_text(number, *unit));
        Some(NumberAsk {
            value: self.typed.or(&name, &kept(one.seen.number)),
            again_value: self.typed.or(&again_name, &kept(one.seen.second_number)),
            name,
            again_name,
            label: what.clone(),
            hint: if *unit == Unit::Micrometre { "Inches, or write mm." } else { "Degrees." },
        })
    }

    fn note(&self, one: &CriterionShown) -> String {
        let kept = match &one.seen.seen {
            Seen::MetWithAdaptation { note } => note.as_str(),
            _ => "",
        };
        self.typed.or(&format!("note_{}", one.key.as_str()), kept)
    }

    fn reason(&self, one: &CriterionShown) -> String {
        let kept = one.reason.overridden.as_deref().unwrap_or_default();
        self.typed.or(&format!("override_{}", one.key.as_str()), kept)
    }

    /// A criterion opens its fields when one of them wants an answer.
    fn is_open(&self, one: &CriterionShown) -> bool {
        let wrong = self.errors.list().iter().any(|(field, _)| field.ends_with(&format!("_{}", one.key.as_str())));
        let asks =
            matches!(one.reason.finding, Finding::AdaptationNotNamed | Finding::NotMet) && self.view.head.is_lead;
        wrong || one.reason.measure_again || asks
    }
}

/// A kept number as the field takes it again, exact to the last digit.
fn typed_text(number: i64, unit: Unit) -> String {
    let (sign, size) = (if number < 0 { "-" } else { "" }, number.abs());
    match unit {
        Unit::Micrometre => {
            let text = format!("{sign}{}.{:03}", size / 1000, size % 1000);
            format!("{} mm", text.trim_end_matches('0').trim_end_matches('.'))
        }
        Unit::Year => number.to_string(),
        _ => format!("{sign}{}.{}", size / 10, size % 10),
    }
}

pub(super) async fn draw_machines(ask: &Ask, rider: String, said: Said) -> Answer {
    let view = ask.read(move |app, caller, session| fit::choose(app, caller, session, &rider)).await?;
    let page = ask.page(format!("A machine for {}", view.line.given), &view.head, &said);
    answered(&said.errors, &Machines { page, view, ids: ActIds::of(&ask.app) })
}

pub(super) async fn draw(ask: &Ask, rider: String, machine: String, said: Said) -> Answer {
    let view = ask.read(move |app, caller, session| fit::show(app, caller, session, &rider, &machine)).await?;
    let title = format!("{} on {}, no. {}", view.line.given, view.machine.make_model, view.machine.number);
    let page = ask.page(title, &view.head, &said);
    let ids = ActIds::of(&ask.app);
    answered(&said.errors.clone(), &Show { page, view, ids, errors: said.errors, typed: said.typed })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::fit::read_number;

    #[test]
    fn house_3_a_kept_number_comes_back_from_its_field_unchanged() {
        for (number, unit) in [
            (76_199, Unit::Micrometre),
            (76_200, Unit::Micrometre),
            (-6_350, Unit::Micrometre),
            (0, Unit::Micrometre),
            (1_299, Unit::TenthDegree),
            (-235, Unit::TenthDegree),
        ] {
            let text = typed_text(number, unit);
            assert_eq!(read_number(&text, unit), Ok(Some(number)), "{text}");
        }
    }
}
