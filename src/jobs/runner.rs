//! Runs the jobs: letters and texts all the time, and beside them other work when it comes round. On a shared database several
//! runners may run; a lease by name gives each turn of a job to one of them.

use chrono::TimeDelta;
use futures_util::FutureExt;

use super::REST;

use super::deliver::Deliver;
use super::texts::Texting;
use crate::services::{App, Failure};
use crate::store::{StoreError, leases};

/// Work that comes round.
#[derive(Clone, Copy)]
pub struct Job {
    /// Its name in the table of leases.
    pub name: &'static str,
    /// Seconds from one turn to the next; also how long a turn is nobody else's.
    pub every: i64,
    /// The work. Runs on a blocking thread; may be cut off and run again.
    pub run: fn(&App) -> Result<(), Failure>,
}

/// The runner of one process.
pub struct Runner {
    app: App,
    deliver: Deliver,
    texting: Option<Texting>,
    jobs: &'static [Job],
    holder: String,
}

impl Runner {
    /// A runner of these jobs beside the delivery of letters and, where there is a gateway, of texts.
    pub fn new(app: App, deliver: Deliver, texting: Option<Texting>, jobs: &'static [Job]) -> Self {
        let holder = app.random.reference();
        Self { app, deliver, texting, jobs, holder }
    }

    /// Works until `stop` is ready. Letters and texts that are being sent are finished first; no other work waits for them.
    pub async fn run_until(&self, stop: impl Future<Output = ()>) {
        let stop = stop.shared();
        let texts = async {
            if let Some(texting) = &self.texting {
                texting.run_until(stop.clone()).await;
            }
        };
        tokio::join!(self.deliver.run_until(stop.clone()), texts, async {
            loop {
                self.turn().await;
                if tokio::time::timeout(REST, stop.clone()).await.is_ok() {
                    return;
                }
            }
        });
    }

    /// Does the work that is due now. Faults are logged; the next turn tries again.
    async fn turn(&self) {
        for job in self.jobs {
            if let Err(fault) = self.run_if_due(*job).await {
                tracing::error!(job = job.name, fault = &fault as &dyn std::error::Error, "a job failed");
            }
        }
    }

    async fn run_if_due(&self, job: Job) -> Result<(), Failure> {
        let (app, holder) = (self.app.clone(), self.holder.clone());
        let done = tokio::task::spawn_blocking(move || {
            let now = app.clock.now();
            let until = now + TimeDelta::seconds(job.every);
            let is_ours =
                app.store.write("take_turn", move |conn| leases::take_lease(conn, job.name, &holder, now, until))?;
            if is_ours { (job.run)(&app) } else { Ok(()) }
        });
        done.await.unwrap_or_else(|_| Err(StoreError::Panicked(job.name).into()))
    }
}
