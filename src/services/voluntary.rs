//! The program's own questions that nobody has to answer: what is asked, and how often each choice was answered. Who
//! answered what is shown to nobody.

use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::curriculum::LocalText;
use crate::domain::voluntary::Choices;
pub use crate::store::voluntary::VoluntaryQuestion;

use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::voluntary::{
    add_voluntary_question, count_voluntary_answers, set_question_ended, voluntary_questions,
};

/// A question with its counts.
#[derive(Clone, Debug)]
pub struct Counted {
    /// The question.
    pub question: VoluntaryQuestion,
    /// How often each choice was answered, in their order.
    pub times: Vec<i64>,
    /// How many had rather not answer.
    pub without: i64,
}

/// Every question, those that are asked first.
pub fn list(app: &App, caller: &Caller) -> Result<Vec<Counted>, Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    app.store.read(|conn| {
        let counts = count_voluntary_answers(conn)?;
        let counted = |question: VoluntaryQuestion| {
            let times = |choice| counts.get(&(question.id, choice)).copied().unwrap_or_default();
            let numbers = (1..).take(question.choices.list().len());
            Counted { times: numbers.map(|number| times(Some(number))).collect(), without: times(None), question }
        };
        let mut found: Vec<Counted> = voluntary_questions(conn)?.into_iter().map(counted).collect();
        found.sort_by_key(|one| one.question.ended_at.is_some());
        Ok(found)
    })
}

/// Asks a question from now on.
pub fn add(app: &App, caller: &Caller, words: LocalText, choices: Choices) -> Result<(), Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    let (now, reference, caller) = (app.clock.now(), app.random.reference(), caller.clone());
    app.store.write("add voluntary question", move |conn| -> Result<(), Failure> {
        add_voluntary_question(conn, &reference, &words, &choices, now)?;
        let subject = format!("question {reference}");
        add_audit_row(conn, &AuditRow::by(&caller, now, "question.add", subject, words.en.clone()))?;
        Ok(())
    })
}

/// Stops asking a question, or asks it again. Its answers stay.
///
/// # Errors
/// `NotFound` for a question that there is none of.
pub fn set_asked(app: &App, caller: &Caller, reference: &str, asked: bool) -> Result<(), Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    let (now, reference, caller) = (app.clock.now(), reference.to_owned(), caller.clone());
    app.store.write("end voluntary question", move |conn| -> Result<(), Failure> {
        if !set_question_ended(conn, &reference, (!asked).then_some(now))? {
            return Err(Failure::NotFound);
        }
        let (action, subject) = (if asked { "question.ask" } else { "question.end" }, format!("question {reference}"));
        add_audit_row(conn, &AuditRow::by(&caller, now, action, subject, String::new()))?;
        Ok(())
    })
}
