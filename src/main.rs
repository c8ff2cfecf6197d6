//! Reads the arguments and hands over to the commands.

use std::process::ExitCode;

use clap::Parser;

/// Threads do not queue for memory, and what a large file took goes back to the machine.
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    waymark::cli::run(waymark::cli::Arguments::parse())
}
