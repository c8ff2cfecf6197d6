//! The log: one line for each thing worth knowing, as JSON or for a person's eyes.
//!
//! Nothing here knows a name, a query string, a form or a token, and nothing may be added that does.

use tracing_subscriber::EnvFilter;
use tracing_subscriber::fmt::format::FmtSpan;

use crate::settings::Log;

/// Starts the log for this process. A second call changes nothing, so that tests may call it too.
pub fn start(log: &Log) {
    let filter = EnvFilter::try_new(&log.filter).unwrap_or_else(|_| EnvFilter::new("info"));
    let lines = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_span_events(FmtSpan::NONE)
        .with_target(true)
        .with_writer(std::io::stderr);
    let started = if log.json {
        lines.json().flatten_event(true).with_span_list(false).try_init()
    } else {
        lines.compact().with_ansi(false).try_init()
    };
    if started.is_err() {
        tracing::debug!("the log was started before");
    }
}
