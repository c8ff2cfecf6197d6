//! The one test binary: the list of its modules is the table of contents.

mod counties;
mod house;
mod storage;
