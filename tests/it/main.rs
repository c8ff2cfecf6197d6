//! The one test binary: the list of its modules is the table of contents.

mod access;
mod architecture;
mod audit;
mod certificate_paper;
mod certificates;
mod commands;
mod counties;
mod day_rules;
mod door;
mod exchange;
mod fit;
mod form_door;
mod help;
mod house;
mod log;
mod migrations;
mod outbox;
mod planning;
mod races;
mod registration;
mod reports;
mod roster;
mod sign_in;
mod staff;
mod storage;
mod tidy;
