//! One span and one line for each request: verb, route pattern, status, request id. Nothing else.
//!
//! The pattern stands for the address, because addresses carry references; there is no query and no name.

use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::Method;
use actix_web::{Error, HttpMessage};
use tracing::Span;
use tracing::field::Empty;
use tracing_actix_web::{RequestId, RootSpanBuilder};

/// Builds the span of a request for the tracing middleware.
pub struct RequestLog;

impl RootSpanBuilder for RequestLog {
    fn on_request_start(request: &ServiceRequest) -> Span {
        let id = request.extensions().get::<RequestId>().map(ToString::to_string);
        let route = request.match_pattern();
        tracing::info_span!(
            "request",
            verb = verb(request.method()),
            route = route.as_deref().unwrap_or("none"),
            request_id = id.as_deref().unwrap_or("none"),
            status = Empty,
        )
    }

    fn on_request_end<B: MessageBody>(span: Span, outcome: &Result<ServiceResponse<B>, Error>) {
        let status = match outcome {
            Ok(response) => response.status(),
            Err(error) => error.as_response_error().status_code(),
        };
        span.record("status", status.as_u16());
        span.in_scope(|| tracing::info!(status = status.as_u16(), "answered"));
    }
}

/// A made-up verb is not written to the log: it may hold anything.
fn verb(method: &Method) -> &'static str {
    match *method {
        Method::GET => "GET",
        Method::HEAD => "HEAD",
        Method::POST => "POST",
        Method::PUT => "PUT",
        Method::PATCH => "PATCH",
        Method::DELETE => "DELETE",
        Method::OPTIONS => "OPTIONS",
        _ => "other",
    }
}
