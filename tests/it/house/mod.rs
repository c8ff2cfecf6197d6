//! The house in which every story plays: a real server and a real database per test, on the engine of the run.

pub mod app;
pub mod armour;
pub mod atlas;
pub mod browser;
pub mod changes;
pub mod crawl;
pub mod database;
pub mod field;
pub mod forms;
pub mod gateway;
pub mod letters;
pub mod paper;
pub mod people;
pub mod program;
pub mod python;
pub mod qr;
pub mod relay;
pub mod saturday;
pub mod season;
