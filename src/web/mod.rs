//! FLOOR 4: the only place with actix-web. Takes requests, calls one service each, and shows what it says.
//!
//! Must not name the store, and must not decide a rule of the program.

pub mod act_words;
mod alarm_words;
pub mod answer;
pub mod area_words;
pub mod assets;
mod blocked_words;
pub mod caller;
pub mod consent_form;
pub mod context;
pub mod corrections;
pub mod county_map;
pub mod csrf;
pub mod device;
pub mod door;
pub mod due_words;
pub mod entry;
pub mod error_page;
pub mod family_form;
pub mod field_ways;
pub mod form;
pub mod headers;
pub mod incident_words;
mod kept_words;
pub mod limits;
mod links;
pub mod move_page;
pub mod moved;
pub mod page;
pub mod pages;
pub mod paper_words;
pub mod readiness_words;
pub mod refusal_words;
pub mod request_log;
pub mod routes;
pub mod rule_words;
pub mod setting_page;
pub mod setup_drawing;
mod sheet_words;
mod side_view;
pub mod signing;
pub mod staff_form;
mod staff_words;
mod upload;
pub mod work_words;

use std::io;
use std::net::TcpListener;
use std::time::Duration;

use actix_web::dev::Server;
use actix_web::middleware::{Compress, from_fn};
use actix_web::{HttpServer, web as actix};
use tracing_actix_web::TracingLogger;

use crate::services::{App, Failure};

use context::Face;
use limits::Limits;
use request_log::RequestLog;

/// Whether the server listens for the signals that stop a process.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Signals {
    /// SIGTERM and SIGINT stop it after running requests are answered.
    Caught,
    /// Somebody else stops it by its handle, as tests do.
    Left,
}

/// Runs a service on a blocking thread: the only place where async meets the database.
///
/// # Errors
/// What the service gives; `Broken` when it panicked.
#[expect(clippy::disallowed_methods, reason = "this is the bridge")]
pub async fn blocking<T: Send + 'static>(
    app: &actix::Data<App>,
    work: impl FnOnce(&App) -> Result<T, Failure> + Send + 'static,
) -> Result<T, Failure> {
    let app = app.clone();
    let span = tracing::Span::current();
    let done = actix::block(move || span.in_scope(|| work(&app))).await;
    done.unwrap_or_else(|stopped| Err(Failure::Broken(Box::new(stopped))))
}

/// Starts the server on a listener that is already bound. The answer is awaited to serve until the end.
///
/// # Errors
/// The listener cannot be used.
pub fn serve(app: App, listener: TcpListener, signals: Signals) -> io::Result<Server> {
    let settings = app.settings.clone();
    let limits = actix::Data::new(Limits::new(&settings.rates));
    let shown = actix::Data::new(Face::default());
    shown.renew(&app);
    let workers = settings.server.workers;
    let threads = (app.store.readers() as usize + 4).div_ceil(workers);
    let app = actix::Data::new(app);
    let server = HttpServer::new(move || {
        actix_web::App::new()
            .app_data(app.clone())
            .app_data(limits.clone())
            .app_data(shown.clone())
            .wrap(Compress::default())
            .wrap(from_fn(headers::on_every_answer))
            .wrap(TracingLogger::<RequestLog>::new())
            .configure(routes::mount)
    })
    .workers(workers)
    .worker_max_blocking_threads(threads)
    .client_request_timeout(Duration::from_secs(settings.server.head_seconds))
    .shutdown_timeout(settings.server.stop_seconds);
    let server = match signals {
        Signals::Caught => server,
        Signals::Left => server.disable_signals(),
    };
    Ok(server.listen(listener)?.run())
}
