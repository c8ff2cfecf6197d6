//! The page functions, one file for each noun. They parse, call one service and show; they never import each other.

pub mod health;
pub mod home;
pub mod register;
pub mod registration;
pub mod rider;
pub mod session;
pub mod sign_in;
pub mod static_file;
