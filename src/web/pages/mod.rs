//! The page functions, one file for each noun. They parse, call one service and show; they never import each other.

pub mod account;
pub mod accounts;
pub mod answers;
pub mod certificate;
pub mod closing;
pub mod consents;
pub mod courses;
pub mod first_account;
pub mod gear;
pub mod health;
pub mod help;
pub mod home;
pub mod machines;
pub mod people;
pub mod program;
pub mod register;
pub mod registration;
pub mod report;
pub mod rider;
pub mod roster;
pub mod rules;
pub mod season;
pub mod session;
pub mod sign_in;
pub mod sites;
pub mod static_file;
