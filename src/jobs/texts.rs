//! Sends the text messages that are owed: claims a few, notes that each is about to be handed over, hands it over and notes
//! how that came out. A text goes out at most once: one that was handed over without an answer is left to the office.

mod words;

use chrono::{NaiveDateTime, TimeDelta};

use super::deliver::pause;
use super::side_by_side::{self, Sending, UnderWay};
use crate::domain::text_message::TextState;
use crate::outside::text_gateway::{Class, Gateway, GatewayError};
use crate::services::texts::{TOO_LATE, for_sending};
use crate::services::{App, Failure};
use crate::settings::TextGateway;
use crate::store::texts::{
    TextClaim, TextRow, claim_texts, give_up_handed_texts, is_text_due, set_text_ended, set_text_handed,
    set_text_put_off,
};
use crate::store::{AnyConn, StoreError};

/// Texts under way at the same time.
const AT_ONCE: usize = 4;
/// Longer than a gateway may take to answer, so that a living holder is not overtaken.
const LEASE: TimeDelta = TimeDelta::minutes(5);
/// How long a text is tried. A day later nobody wants it.
const PATIENCE: TimeDelta = TimeDelta::hours(24);

/// The sending of text messages. Several may run on one shared database.
#[derive(Clone)]
pub struct Texting {
    app: App,
    gateway: Gateway,
    holder: String,
}

/// How one attempt came out.
enum Outcome {
    Sent,
    /// The gateway does not have it.
    PutOff(String),
    Ended(TextState, String),
    /// Somebody else has it.
    Lost,
}

impl Sending for Texting {
    const NAME: &'static str = "text";

    async fn start(&self, under_way: &mut UnderWay) -> Result<usize, StoreError> {
        Self::start(self, under_way).await
    }
}

impl Texting {
    /// Sending over the gateway of these settings. Fails if its secret cannot stand in a request.
    pub fn by_setting(app: &App, of: &TextGateway) -> anyhow::Result<Self> {
        Ok(Self { app: app.clone(), gateway: Gateway::by_setting(of)?, holder: app.random.reference() })
    }

    /// Sends what is due until `stop` is ready; what is under way is finished then. Faults are logged.
    pub async fn run_until(&self, stop: impl Future<Output = ()>) {
        side_by_side::run_until(self, stop).await;
    }

    /// Starts the texts that are due, as far as fewer than four are under way. Returns how many it started.
    pub async fn start(&self, under_way: &mut UnderWay) -> Result<usize, StoreError> {
        let room = AT_ONCE.saturating_sub(under_way.len());
        let claimed = if room > 0 { self.claim(room).await? } else { vec![] };
        let count = claimed.len();
        for row in claimed {
            let own = self.clone();
            under_way.spawn(async move {
                let outcome = own.attempt(&row).await?;
                own.note(row, outcome).await
            });
        }
        Ok(count)
    }

    async fn claim(&self, room: usize) -> Result<Vec<TextRow>, StoreError> {
        let now = self.app.clock.now();
        let most = i64::try_from(room).unwrap_or(1);
        let claim = TextClaim { holder: self.holder.clone(), now, until: now + LEASE, most };
        self.blocking("claim_texts", move |app| {
            // Most of the time there is nothing, and looking disturbs nobody.
            if !app.store.read(|conn| is_text_due(conn, now))? {
                return Ok(vec![]);
            }
            app.store.write("claim_texts", move |conn| {
                let broken = give_up_handed_texts(conn, now)?;
                if broken > 0 {
                    tracing::error!(broken, "texts were handed over by a process that is gone");
                }
                claim_texts(conn, &claim)
            })
        })
        .await
    }

    async fn attempt(&self, row: &TextRow) -> Result<Outcome, StoreError> {
        let now = self.app.clock.now();
        if row.created_at + PATIENCE <= now {
            return Ok(Outcome::Ended(TextState::Stopped, TOO_LATE.into()));
        }
        let (id, holder) = (row.id, self.holder.clone());
        let told = match self.blocking("write_text", move |app| for_sending(app, id)).await {
            Ok(Some(told)) => told,
            Ok(None) => return Ok(Outcome::Ended(TextState::Moot, String::new())),
            Err(Failure::NotFound | Failure::NotAllowed | Failure::Refused(_)) => {
                return Ok(Outcome::Ended(TextState::Moot, String::new()));
            }
            Err(Failure::Busy(_) | Failure::Broken(_)) => return Ok(Outcome::PutOff("store".into())),
        };
        let text = words::compose(&told);
        if !self.write("hand_text_over", move |conn| set_text_handed(conn, id, &holder, now)).await? {
            return Ok(Outcome::Lost);
        }
        let gateway = self.gateway.clone();
        let sent = tokio::task::spawn_blocking(move || gateway.send(&told.to, &text)).await;
        Ok(match sent.unwrap_or(Err(GatewayError::Unanswered(Class::Connection))) {
            Ok(()) => Outcome::Sent,
            Err(GatewayError::Later(class)) => Outcome::PutOff(class.to_string()),
            Err(GatewayError::Unanswered(class)) => Outcome::Ended(TextState::Unsure, class.to_string()),
            Err(GatewayError::Never(class)) => Outcome::Ended(TextState::Stopped, class.to_string()),
        })
    }

    async fn note(&self, row: TextRow, outcome: Outcome) -> Result<(), StoreError> {
        let now = self.app.clock.now();
        let [chance] = self.app.random.bytes();
        let due_at = now + pause(row.tries, chance);
        let (id, kind, holder) = (row.id.raw(), row.kind.to_string(), self.holder.clone());
        match &outcome {
            Outcome::Sent => tracing::info!(kind, id, "text sent"),
            Outcome::PutOff(fault) => tracing::warn!(kind, id, fault, "text put off"),
            Outcome::Ended(TextState::Moot, _) => tracing::info!(kind, id, "text moot"),
            Outcome::Ended(state, fault) => tracing::error!(kind, id, %state, fault, "text ended"),
            Outcome::Lost => tracing::warn!(kind, id, "text is somebody else's"),
        }
        self.write("note_text", move |conn| note(conn, &row, &outcome, &holder, (now, due_at))).await
    }

    async fn write<T: Send + 'static>(
        &self,
        name: &'static str,
        work: impl Fn(&mut AnyConn) -> Result<T, StoreError> + Send + 'static,
    ) -> Result<T, StoreError> {
        self.blocking(name, move |app| app.store.write(name, work)).await
    }

    async fn blocking<T: Send + 'static, E: From<StoreError> + Send + 'static>(
        &self,
        name: &'static str,
        work: impl FnOnce(&App) -> Result<T, E> + Send + 'static,
    ) -> Result<T, E> {
        let app = self.app.clone();
        let done = tokio::task::spawn_blocking(move || work(&app)).await;
        done.unwrap_or_else(|_| Err(StoreError::Panicked(name).into()))
    }
}

fn note(
    conn: &mut AnyConn,
    row: &TextRow,
    outcome: &Outcome,
    holder: &str,
    (now, due_at): (NaiveDateTime, NaiveDateTime),
) -> Result<(), StoreError> {
    match outcome {
        Outcome::Sent => set_text_ended(conn, row.id, holder, (TextState::Sent, None), now),
        Outcome::PutOff(fault) => set_text_put_off(conn, row.id, holder, due_at, fault),
        Outcome::Ended(state, fault) => {
            let fault = Some(fault.as_str()).filter(|fault| !fault.is_empty());
            set_text_ended(conn, row.id, holder, (*state, fault), now)
        }
        Outcome::Lost => Ok(()),
    }
}
