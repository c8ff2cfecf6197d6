//! `serve`: the pages and the jobs, until the process is told to stop.

use std::net::TcpListener;
use std::time::Duration;

use anyhow::{Context, Result};

use crate::jobs::letters::KINDS;
use crate::jobs::{Deliver, Runner};
use crate::outside::post::Post;
use crate::services::App;
use crate::store::Tenancy;
use crate::web::{self, Signals};

use super::{Place, prepare};

/// How long the letters under way may take when the process is told to stop.
const LAST_LETTERS: Duration = Duration::from_secs(10);

/// Serves until a signal.
///
/// # Errors
/// Settings, keys, database or address are not usable.
pub(super) fn run(place: Place) -> Result<()> {
    let overrides = place.overrides(false);
    let settings = prepare::with_keys(prepare::settings(&overrides)?, &overrides)?;
    prepare::migrated(&settings)?;
    let app = prepare::app(settings, Tenancy::Serving)?;
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

/// The jobs of this process, over the way out that the settings name.
fn runner(app: &App) -> Result<Runner> {
    let post = Post::by_setting(&app.settings.mail.way)?;
    let deliver = Deliver::new(app.clone(), post, KINDS).context("mail.from is no mail address")?;
    Ok(Runner::new(app.clone(), deliver, &[]))
}
