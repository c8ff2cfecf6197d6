//! Waymark: the self-hosted service with which a youth ATV safety program runs its courses.
//!
//! The house has five floors, and imports go down only:
//!
//! `cli` -> `web`, `jobs` -> `services` -> `store`, `outside` -> `domain`
//!
//! `domain` uses nothing of ours. `store` and `outside` do not know each other. `web` names services and domain,
//! never the store. `settings`, `telemetry` and `language` lie on the ground: every floor above the domain may use them.

pub mod domain;

pub mod outside;
pub mod store;

pub mod services;

pub mod jobs;
pub mod web;

pub mod cli;

pub mod language;
pub mod settings;
pub mod telemetry;
