//! Waymark: the self-hosted service with which a youth ATV safety program runs its courses.

pub mod domain;
pub mod language;
pub mod outside;
pub mod services;
pub mod settings;
pub mod store;
pub mod telemetry;
pub mod web;
