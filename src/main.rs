//! Reads the arguments and hands over to the commands.

use std::process::ExitCode;

use clap::Parser;

fn main() -> ExitCode {
    waymark::cli::run(waymark::cli::Arguments::parse())
}
