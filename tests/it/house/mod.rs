//! The house in which every story plays: a real database of its own per test, on the engine of the run.

pub mod app;
pub mod browser;
pub mod database;
pub mod python;
pub mod relay;
