//! The interpreter of Python with the independent readers; `tests/run` makes it.

use std::path::PathBuf;

/// `WAYMARK_TEST_PYTHON`, or what `tests/run` made. A missing one fails the test that starts it.
#[expect(clippy::disallowed_methods, reason = "the run's tools are chosen outside the program")]
pub fn interpreter() -> PathBuf {
    std::env::var_os("WAYMARK_TEST_PYTHON").map_or_else(
        || PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/.made/venv/bin/python")),
        PathBuf::from,
    )
}
