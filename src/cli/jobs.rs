//! `jobs`: the jobs without the pages, on a PostgreSQL database; and the runner that `serve` uses too.

use std::time::Duration;

use anyhow::{Context, Result, bail};
use tokio::signal::unix::{SignalKind, signal};

use crate::jobs::letters::KINDS;
use crate::jobs::{Deliver, JOBS, Runner, Texting};
use crate::outside::post::Post;
use crate::services::App;
use crate::settings::Engine;
use crate::store::Tenancy;

use super::{Place, prepare};

/// How long the letters under way may take when the process is told to stop.
pub(super) const LAST_LETTERS: Duration = Duration::from_secs(10);

/// Runs the jobs until a signal.
///
/// # Errors
/// The database is an SQLite file, or settings, keys or database are not usable.
pub(super) fn run(place: Place) -> Result<()> {
    let overrides = place.overrides(false);
    let settings = prepare::settings(&overrides)?;
    if settings.database.engine() == Engine::Sqlite {
        bail!("{}: `waymark serve` runs the jobs of an SQLite file itself", settings.database);
    }
    let settings = prepare::with_keys(settings, &overrides)?;
    prepare::migrated(&settings)?;
    let app = prepare::app(settings, Tenancy::Serving)?;
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    runtime.block_on(until_told(&app))
}

/// Works until SIGTERM or SIGINT; the letters under way are finished first.
async fn until_told(app: &App) -> Result<()> {
    let runner = runner(app)?;
    let (mut term, mut int) = (signal(SignalKind::terminate())?, signal(SignalKind::interrupt())?);
    let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
    let jobs = tokio::spawn(async move { runner.run_until(async { drop(stopped.await) }).await });
    tracing::info!("running the jobs");
    tokio::select! {
        _ = term.recv() => {}
        _ = int.recv() => {}
    }
    drop(stop);
    // A letter that is cut off goes out again, under the same id, when its lease ends.
    drop(tokio::time::timeout(LAST_LETTERS, jobs).await);
    tracing::info!("stopped");
    Ok(())
}

/// The jobs of this process, over the way out that the settings name.
pub(super) fn runner(app: &App) -> Result<Runner> {
    let post = Post::by_setting(&app.settings.mail.way)?;
    let deliver = Deliver::new(app.clone(), post, KINDS).context("mail.from is no mail address")?;
    let texting = app.settings.texts.as_ref().map(|gateway| Texting::by_setting(app, gateway)).transpose()?;
    Ok(Runner::new(app.clone(), deliver, texting, JOBS))
}
