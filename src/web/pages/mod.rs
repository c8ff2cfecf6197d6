//! The page functions, one file for each noun. They parse, call one service and show; they never import each other.

pub mod health;
pub mod sign_in;
pub mod static_file;
