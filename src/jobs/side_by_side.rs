//! Messages that go out side by side: started as they come due, noted as each ends, and finished when the program stops.

use tokio::task::{JoinError, JoinSet};

use super::REST;
use crate::store::StoreError;

/// Messages that are under way. Each ends once it is noted how it came out.
pub(crate) type UnderWay = JoinSet<Result<(), StoreError>>;

/// What sends messages of one kind.
pub(super) trait Sending {
    /// What one message is called in the log.
    const NAME: &'static str;

    /// Starts what is due and has room. Returns how many it started.
    fn start(&self, under_way: &mut UnderWay) -> impl Future<Output = Result<usize, StoreError>> + Send;
}

/// Sends what is due until `stop` is ready; what is under way is finished then. Faults are logged.
pub(super) async fn run_until<S: Sending + Sync>(sending: &S, stop: impl Future<Output = ()>) {
    let mut stop = std::pin::pin!(stop);
    let mut under_way = UnderWay::new();
    loop {
        if let Err(fault) = sending.start(&mut under_way).await {
            tracing::error!(%fault, kind = S::NAME, "nothing can be sent now");
        }
        tokio::select! {
            () = &mut stop => break,
            Some(ended) = under_way.join_next() => tell::<S>(ended),
            () = tokio::time::sleep(REST) => {}
        }
        while let Some(ended) = under_way.try_join_next() {
            tell::<S>(ended);
        }
    }
    while let Some(ended) = under_way.join_next().await {
        tell::<S>(ended);
    }
}

/// Logs a message whose end could not be noted: what becomes of it is decided when its claim ends.
fn tell<S: Sending>(ended: Result<Result<(), StoreError>, JoinError>) {
    match ended {
        Ok(Ok(())) => {}
        Ok(Err(fault)) => tracing::error!(%fault, kind = S::NAME, "how a message came out cannot be noted"),
        Err(fault) => tracing::error!(%fault, kind = S::NAME, "a message broke off"),
    }
}
