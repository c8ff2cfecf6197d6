//! FLOOR 1: the rules of the program. No database, no web, no clock, no files: values in, decisions out.

pub mod access;
pub mod certificate;
pub mod county;
pub mod ids;
pub mod refusal;
pub mod registration;
pub mod session;
pub mod time;
pub mod words;
