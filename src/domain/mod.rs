//! FLOOR 1: the rules of the program. No database, no web, no clock, no files: values in, decisions out.

pub mod access;
pub mod acts;
pub mod cautions;
pub mod certificate;
pub mod certification;
pub mod consent;
pub mod county;
pub mod curriculum;
pub mod day;
pub mod fit;
pub mod gear;
pub mod health_note;
pub mod ids;
pub mod machine;
pub mod measures;
pub mod people;
pub mod program;
pub mod refusal;
pub mod registration;
pub mod report;
pub mod session;
pub mod skill;
pub mod staffing;
pub mod time;
pub mod words;
