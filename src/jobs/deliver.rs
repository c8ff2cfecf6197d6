//! Sends what the outbox owes: claims a few letters, writes and sends them side by side, and notes each one's end as soon
//! as it is known, so that a letter without an answer holds up no other. A letter goes out at least once, always under the
//! same Message-ID. While nothing goes out, one letter a minute probes.

use chrono::{NaiveDateTime, TimeDelta};

use super::letters::{Kind, Unwritten, Written};
use super::side_by_side::{self, Sending, UnderWay};
use crate::outside::mail::{BadLetter, Letter, Party};
use crate::outside::post::{Class, Post, PostError};
use crate::services::App;
use crate::store::outbox::{
    Claim, MOOT, OutboxRow, UNANSWERED, claim_letters, set_held_letters_due, set_letter_put_off, set_letter_sent,
    set_letter_stopped,
};
use crate::store::{AnyConn, StoreError, leases};

/// Letters under way at the same time.
const AT_ONCE: usize = 8;
/// The lease that stands while no letter goes out; it ends when the next probe may.
const DOWN: &str = "post_is_down";
/// Longer than the post's longest wait for a relay, so that a living holder is not overtaken.
const LEASE: TimeDelta = TimeDelta::minutes(15);
const BETWEEN_PROBES: TimeDelta = TimeDelta::minutes(1);
/// How long a letter is tried that the relay does not take for now.
const PATIENCE: TimeDelta = TimeDelta::hours(72);

/// The delivery of letters. Several may run on one shared database.
#[derive(Clone)]
pub struct Deliver {
    app: App,
    post: Post,
    kinds: &'static [Kind],
    from: Party,
    holder: String,
}

/// How one attempt came out.
struct Outcome {
    end: End,
    /// Why not, in words for the table and the log; empty when sent.
    fault: String,
    way: Way,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum End {
    Sent,
    PutOff,
    /// Put off for as long as a letter ever is: it may be out.
    Unsure,
    Stopped,
}

/// What the attempt showed about the way out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Way {
    Open,
    Down,
    Untried,
}

impl Sending for Deliver {
    const NAME: &'static str = "letter";

    async fn start(&self, under_way: &mut UnderWay) -> Result<usize, StoreError> {
        Self::start(self, under_way).await
    }
}

impl Deliver {
    /// Delivery over `post` of letters of these kinds. Fails if the settings' sender is no address.
    pub fn new(app: App, post: Post, kinds: &'static [Kind]) -> Result<Self, BadLetter> {
        let from = Party::parse(&app.settings.mail.from)?;
        let holder = app.random.reference();
        Ok(Self { app, post, kinds, from, holder })
    }

    /// Sends what is due until `stop` is ready; what is under way is finished then. Faults are logged.
    pub async fn run_until(&self, stop: impl Future<Output = ()>) {
        side_by_side::run_until(self, stop).await;
    }

    /// Starts the letters that are due, as far as fewer than eight are under way, or one probe. Returns how many it
    /// started; each is noted when it ends.
    pub async fn start(&self, under_way: &mut UnderWay) -> Result<usize, StoreError> {
        let room = AT_ONCE.saturating_sub(under_way.len());
        let claimed = if room > 0 { self.claim(room).await? } else { vec![] };
        let count = claimed.len();
        for row in claimed {
            let own = self.clone();
            under_way.spawn(async move {
                let outcome = own.attempt(&row).await;
                own.note(row, outcome).await
            });
        }
        Ok(count)
    }

    async fn claim(&self, room: usize) -> Result<Vec<OutboxRow>, StoreError> {
        let room = i64::try_from(room).unwrap_or(1);
        let now = self.app.clock.now();
        let holder = self.holder.clone();
        self.write("claim_letters", move |conn| {
            let claim = |most, early| Claim { holder: holder.clone(), now, until: now + LEASE, most, early };
            match leases::find_lease(conn, DOWN)? {
                None => claim_letters(conn, &claim(room, false)),
                Some(until) if until > now => Ok(vec![]),
                Some(_) => {
                    let probe = claim_letters(conn, &claim(1, true))?;
                    if !probe.is_empty() {
                        // Of two runners that look at the same moment both probe, and one has the lease.
                        leases::take_lease(conn, DOWN, &holder, now, now + BETWEEN_PROBES)?;
                    }
                    Ok(probe)
                }
            }
        })
        .await
    }

    async fn attempt(&self, row: &OutboxRow) -> Outcome {
        let written = match self.words(row).await {
            Ok(written) => written,
            Err(outcome) => return outcome,
        };
        let fault = match self.post.send(&self.letter(row, written)).await {
            Ok(()) => return Outcome { end: End::Sent, fault: String::new(), way: Way::Open },
            Err(fault) => fault,
        };
        match fault {
            PostError::Down(class) => Outcome { end: End::PutOff, fault: format!("down {class}"), way: Way::Down },
            PostError::Later(class) => Outcome { way: Way::Open, ..self.put_off(row, class.to_string()) },
            PostError::Unanswered(class) => {
                // Twice is enough: a third copy helps nobody, and a person can ask.
                let end = if row.may_be_out() { End::Stopped } else { End::Unsure };
                Outcome { end, fault: format!("{UNANSWERED} {class}"), way: Way::Down }
            }
            PostError::Never(class) => {
                let way = if class == Class::Letter { Way::Untried } else { Way::Open };
                Outcome { end: End::Stopped, fault: class.to_string(), way }
            }
        }
    }

    async fn words(&self, row: &OutboxRow) -> Result<Written, Outcome> {
        let Some(kind) = self.kinds.iter().find(|kind| kind.name == row.kind) else {
            // A newer program beside this one may know the kind.
            return Err(self.put_off(row, "unknown kind".into()));
        };
        let (app, about, write) = (self.app.clone(), row.clone(), kind.write);
        match tokio::task::spawn_blocking(move || write(&app, &about)).await {
            Ok(Ok(written)) => Ok(written),
            Ok(Err(Unwritten::Moot)) => Err(Outcome { end: End::Stopped, fault: MOOT.into(), way: Way::Untried }),
            Ok(Err(Unwritten::Store(_))) => Err(self.put_off(row, "store".into())),
            Err(_) => Err(self.put_off(row, "panicked".into())),
        }
    }

    fn letter(&self, row: &OutboxRow, written: Written) -> Letter {
        Letter {
            message_id: row.message_id.clone(),
            date: row.created_at,
            to: written.to,
            from: self.from.clone(),
            reply_to: None,
            subject: written.subject,
            text: written.text,
            html: written.html,
            enclosures: written.enclosures,
            unsubscribe: written.unsubscribe,
        }
    }

    fn put_off(&self, row: &OutboxRow, fault: String) -> Outcome {
        let is_old = row.created_at + PATIENCE <= self.app.clock.now();
        Outcome { end: if is_old { End::Stopped } else { End::PutOff }, fault, way: Way::Untried }
    }

    async fn note(&self, row: OutboxRow, outcome: Outcome) -> Result<(), StoreError> {
        let now = self.app.clock.now();
        let [chance] = self.app.random.bytes();
        let tries = if outcome.end == End::Unsure { i64::MAX } else { row.tries };
        let due_at = now + pause(tries, chance);
        let holder = self.holder.clone();
        let (kind, id, fault) = (&row.kind, &row.message_id, &outcome.fault);
        match outcome.end {
            End::Sent => tracing::info!(kind, id, "letter sent"),
            End::PutOff | End::Unsure => tracing::warn!(kind, id, fault, "letter put off"),
            End::Stopped => tracing::error!(kind, id, fault, "letter stopped"),
        }
        self.write("note_letter", move |conn| note(conn, &row, &outcome, &Times { now, due_at }, &holder)).await
    }

    async fn write<T: Send + 'static>(
        &self,
        name: &'static str,
        work: impl Fn(&mut AnyConn) -> Result<T, StoreError> + Send + 'static,
    ) -> Result<T, StoreError> {
        let store = self.app.store.clone();
        let done = tokio::task::spawn_blocking(move || store.write(name, work)).await;
        done.unwrap_or(Err(StoreError::Panicked(name)))
    }
}

struct Times {
    now: NaiveDateTime,
    due_at: NaiveDateTime,
}

fn note(conn: &mut AnyConn, row: &OutboxRow, outcome: &Outcome, times: &Times, holder: &str) -> Result<(), StoreError> {
    match outcome.end {
        End::Sent => set_letter_sent(conn, row.id, times.now)?,
        End::PutOff if row.may_be_out() => {
            set_letter_put_off(conn, row.id, times.due_at, &format!("{}, {UNANSWERED} before", outcome.fault))?;
        }
        End::PutOff | End::Unsure => set_letter_put_off(conn, row.id, times.due_at, &outcome.fault)?,
        End::Stopped => set_letter_stopped(conn, row.id, &outcome.fault)?,
    }
    match outcome.way {
        Way::Down => {
            leases::add_lease(conn, DOWN, holder, times.now + BETWEEN_PROBES)?;
        }
        Way::Open if leases::remove_lease(conn, DOWN)? => {
            set_held_letters_due(conn, times.now)?;
        }
        Way::Open | Way::Untried => {}
    }
    Ok(())
}

/// How long a letter waits after `tries` vain attempts and one more: 1, 2, 4, 8, then 15 minutes, less up to a quarter
/// by chance, so that letters do not all come back at once.
pub(super) fn pause(tries: i64, chance: u8) -> TimeDelta {
    let minutes = if tries >= 4 { 15 } else { 1 << tries.max(0) };
    let whole = minutes * 60;
    TimeDelta::seconds(whole - whole * i64::from(chance) / 4 / 255)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn r08_a_letter_waits_from_one_to_fifteen_minutes_with_some_chance() {
        let minutes = [1, 2, 4, 8, 15, 15, 15];
        for (tries, minutes) in (0..).zip(minutes) {
            assert_eq!(pause(tries, 0), TimeDelta::minutes(minutes));
            assert_eq!(pause(tries, 255), TimeDelta::seconds(minutes * 45));
        }
        assert_eq!(pause(i64::MAX, 0), TimeDelta::minutes(15));
    }
}
