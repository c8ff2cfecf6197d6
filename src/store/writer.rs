//! The one writer of an SQLite database: a thread that owns the connection and shares commits between callers.
//! Each closure runs in a savepoint; nobody is answered before COMMIT has returned; one failing or panicking
//! closure never touches its neighbours.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{Receiver, Sender, SyncSender, channel, sync_channel};
use std::thread::JoinHandle;

use super::connection::{AnyConn, Purpose, begin, keep, open, savepoint, undo_to};
use super::error::StoreError;
use crate::settings::DatabaseUrl;

/// The most closures that share one commit.
const MOST_AT_ONCE: usize = 32;

/// One caller's work, waiting.
trait Work: Send {
    /// Runs inside a savepoint; says whether its work is to be kept.
    fn run(&mut self, conn: &mut AnyConn) -> bool;
    /// Answers the caller: `Ok` only when COMMIT has returned.
    fn answer(self: Box<Self>, committed: Result<(), StoreError>);
}

struct Call<T, E, F> {
    name: &'static str,
    work: F,
    outcome: Option<Result<T, E>>,
    reply: SyncSender<Result<T, E>>,
}

impl<T, E, F> Work for Call<T, E, F>
where
    T: Send,
    E: From<StoreError> + Send,
    F: Fn(&mut AnyConn) -> Result<T, E> + Send,
{
    fn run(&mut self, conn: &mut AnyConn) -> bool {
        let outcome = run_guarded(self.name, conn, &self.work);
        let kept = outcome.is_ok();
        self.outcome = Some(outcome);
        kept
    }
    fn answer(self: Box<Self>, committed: Result<(), StoreError>) {
        let answer = match (committed, self.outcome) {
            (Ok(()), Some(outcome)) => outcome,
            (Ok(()), None) => Err(StoreError::Stopped.into()),
            // A closure that failed by itself keeps its own words.
            (Err(_), Some(Err(own))) => Err(own),
            (Err(lost), _) => Err(lost.into()),
        };
        // The caller may have gone away; its work stands all the same.
        let _ = self.reply.send(answer);
    }
}

/// Runs a closure and turns a panic into an error that carries the write's name.
pub(super) fn run_guarded<T, E: From<StoreError>>(
    name: &'static str,
    conn: &mut AnyConn,
    work: &impl Fn(&mut AnyConn) -> Result<T, E>,
) -> Result<T, E> {
    catch_unwind(AssertUnwindSafe(|| work(conn))).unwrap_or_else(|_| Err(StoreError::Panicked(name).into()))
}

/// The door to the writer thread. Dropping it lets the thread finish what it has and end.
pub struct Writer {
    door: Option<Sender<Box<dyn Work>>>,
    thread: Option<JoinHandle<()>>,
}

impl Writer {
    /// Opens the writer's connection and starts its thread.
    pub fn start(url: &DatabaseUrl) -> Result<Self, StoreError> {
        let conn = open(url, Purpose::Write)?;
        let (door, jobs) = channel();
        let url = url.clone();
        let thread = std::thread::Builder::new().name("writer".into()).spawn(move || serve(&url, conn, &jobs))?;
        Ok(Self { door: Some(door), thread: Some(thread) })
    }

    /// Hands one closure to the thread and waits for its answer.
    pub fn write<T, E>(
        &self,
        name: &'static str,
        work: impl Fn(&mut AnyConn) -> Result<T, E> + Send + 'static,
    ) -> Result<T, E>
    where
        T: Send + 'static,
        E: From<StoreError> + Send + 'static,
    {
        let (reply, answer) = sync_channel(1);
        let call = Box::new(Call { name, work, outcome: None, reply });
        let door = self.door.as_ref().ok_or(StoreError::Stopped)?;
        door.send(call).map_err(|_| StoreError::Stopped)?;
        answer.recv().unwrap_or_else(|_| Err(StoreError::Stopped.into()))
    }
}

impl Drop for Writer {
    fn drop(&mut self) {
        self.door = None;
        // A closure may hold the last handle on the store; then this is the writer's thread, which cannot wait for itself.
        let own = std::thread::current().id();
        if let Some(thread) = self.thread.take().filter(|thread| thread.thread().id() != own) {
            let _ = thread.join();
        }
    }
}

fn serve(url: &DatabaseUrl, first: AnyConn, jobs: &Receiver<Box<dyn Work>>) {
    let mut held = Some(first);
    while let Ok(job) = jobs.recv() {
        let mut batch = vec![job];
        while batch.len() < MOST_AT_ONCE {
            match jobs.try_recv() {
                Ok(job) => batch.push(job),
                Err(_) => break,
            }
        }
        let committed = match held.take().map_or_else(|| open(url, Purpose::Write), Ok) {
            Ok(mut conn) => {
                let committed = commit_together(&mut conn, &mut batch);
                // A connection that cannot undo its work is closed, which undoes it; the next batch opens a new one.
                if committed.is_ok() || undo_to(&mut conn, 0).is_ok() {
                    held = Some(conn);
                }
                committed
            }
            Err(error) => Err(error),
        };
        answer_all(batch, committed);
    }
}

fn commit_together(conn: &mut AnyConn, batch: &mut [Box<dyn Work>]) -> Result<(), StoreError> {
    begin(conn)?;
    for job in batch {
        savepoint(conn)?;
        if job.run(conn) {
            undo_to(conn, 2)?;
            keep(conn)?;
        } else {
            undo_to(conn, 1)?;
        }
    }
    keep(conn)
}

fn answer_all(batch: Vec<Box<dyn Work>>, committed: Result<(), StoreError>) {
    match committed {
        Ok(()) => batch.into_iter().for_each(|job| job.answer(Ok(()))),
        Err(error) => {
            tracing::error!(error = %error, callers = batch.len(), "a shared commit failed");
            batch.into_iter().for_each(|job| job.answer(Err(StoreError::Busy(None))));
        }
    }
}
