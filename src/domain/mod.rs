//! Floor 1: the rules of the program. No database, no web, no clock, no files.

pub mod certificate;
pub mod county;
pub mod time;
