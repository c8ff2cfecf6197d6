//! `serve`: the pages and the jobs, until the process is told to stop.

use std::net::TcpListener;

use anyhow::{Context, Result};

use crate::services::App;
use crate::store::Tenancy;
use crate::web::{self, Signals};

use super::jobs::{LAST_LETTERS, runner};
use super::{Place, prepare};

/// Serves until a signal.
///
/// # Errors
/// Settings, keys, database or address are not usable.
pub(super) fn run(place: Place) -> Result<()> {
    let overrides = place.overrides(false);
    let settings = prepare::with_keys(prepare::settings(&overrides)?, &overrides)?;
    prepare::migrated(&settings)?;
    let app = prepare::app(settings, Tenancy::Serving)?;
    crate::services::seed::complete(&app)?;
    let listener = listener(&app)?;
    tracing::info!(listen = %app.settings.server.listen, "serving");
    until_stopped(app, listener)
}

/// Binds the address of the settings.
///
/// # Errors
/// It is taken or not ours.
pub(super) fn listener(app: &App) -> Result<TcpListener> {
    let listen = app.settings.server.listen;
    let listener = TcpListener::bind(listen).with_context(|| format!("cannot listen on {listen}"))?;
    listener.set_nonblocking(true)?;
    Ok(listener)
}

/// Serves on a bound listener until a signal; running requests are answered first.
///
/// # Errors
/// The server cannot start.
pub(super) fn until_stopped(app: App, listener: TcpListener) -> Result<()> {
    actix_web::rt::System::new().block_on(async move {
        let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
        let runner = runner(&app)?;
        let jobs = actix_web::rt::spawn(async move { runner.run_until(async { drop(stopped.await) }).await });
        web::serve(app, listener, Signals::Caught)?.await?;
        drop(stop);
        // A letter that is cut off goes out again, under the same id, when its lease ends.
        drop(tokio::time::timeout(LAST_LETTERS, jobs).await);
        Ok(())
    })
}
