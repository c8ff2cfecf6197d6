//! What a family does with its letters: it shows its address, takes offered seats or leaves them to others.

use std::thread;

use anyhow::ensure;
use rand::RngExt;

use super::{Family, mailbox};
use crate::storm::form::Form;
use crate::storm::history::{Asked, Shown};

impl Family<'_> {
    /// The first letter that asks something is about the address: it is answered while the next child is registered. Every
    /// other is about an offered seat.
    pub(super) fn read_letters(&mut self) -> anyhow::Result<()> {
        let questions = self.scene.post.questions(&mailbox(self.number));
        if !self.answers || questions.is_empty() {
            return Ok(());
        }
        if !self.is_shown {
            self.questions.extend(questions);
            return Ok(());
        }
        for at in 0..self.places.len() {
            if matches!(self.places[at].shown, Shown::Line(_) | Shown::Waiting) {
                self.answer_offer(at)?;
            }
        }
        Ok(())
    }

    /// The letter about the address lies open: on another device, which answers it at the same time as `act`.
    pub(super) fn confirm_beside<T>(&mut self, act: impl FnOnce(&mut Self) -> anyhow::Result<T>) -> anyhow::Result<T> {
        let Some(question) = self.questions.pop_front().filter(|_| !self.is_shown) else { return act(self) };
        let seed = self.random.random();
        let mut other = Family::new(self.number, self.browser.elsewhere(), seed, self.scene);
        let (done, confirmed) = thread::scope(|scope| {
            let confirmed = scope.spawn(move || other.confirm(&question));
            (act(self), confirmed.join())
        });
        self.is_shown = confirmed.map_err(|_| anyhow::anyhow!("the other device panicked"))??;
        done
    }

    /// `false`: nobody waits for the answer any more, because the place that was asked about is given up.
    fn confirm(&mut self, question: &str) -> anyhow::Result<bool> {
        let page = self.page(question)?;
        let Some(form) = Form::of(&page.body, question) else {
            ensure!(page.status == 410, "a question without a form: {}", page.status);
            return Ok(false);
        };
        let body = form.with(&[("answer", "yes")]).body();
        self.repeat(&Asked::Confirm, question, &body)
    }

    /// Takes the seat that is offered, or leaves it to others. Nothing when none is.
    fn answer_offer(&mut self, at: usize) -> anyhow::Result<()> {
        let reference = self.places[at].reference.clone();
        let (shown, page) = self.look(&reference)?;
        self.places[at].shown = shown;
        let path = format!("/registrations/{reference}/offer");
        let Some(form) = Form::of(&page, &path) else { return Ok(()) };
        let takes = self.random.random_bool(0.7);
        let body = form.with(&[("answer", if takes { "yes" } else { "no" })]).body();
        self.repeat(&Asked::Offer { reference, takes }, &path, &body)?;
        self.places[at].shown = if takes { Shown::Seat } else { Shown::Over };
        Ok(())
    }
}
