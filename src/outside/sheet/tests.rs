//! Tests of the parts. Whole files are tested with the corpus.

mod cells;
mod guarding;
mod unpacking;
