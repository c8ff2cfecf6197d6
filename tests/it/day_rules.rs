//! The rules of the day through the front door: papers of the site and its emergency plan, the day list before the first
//! engine, groups and head counts, and how each child's day ends.

mod ends;
mod field;
mod groups;
mod sites;
