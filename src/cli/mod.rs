//! FLOOR 5: the command line. Reads arguments and settings, builds the program and starts it.
//!
//! Exit codes: 0 done, 1 it failed, 2 the arguments make no sense. A fault is told in one line on standard error.

mod demo;
mod doctor;
mod jobs;
mod keys;
mod migrate;
mod password;
mod prepare;
mod seed;
mod serve;
mod staff;
mod verify;

use std::net::SocketAddr;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Args, Parser, Subcommand};

use crate::settings::Overrides;

/// Runs the courses of a youth ATV safety program: registration, roster, fit checks, certificates, reports.
#[derive(Debug, Parser)]
#[command(
    name = "waymark",
    version,
    after_help = "Settings come from waymark.toml in the data folder (or the file that WAYMARK_SETTINGS names)\n\
                  and from the environment: server.listen is WAYMARK_SERVER_LISTEN. `waymark doctor` looks them over.\n\
                  Exit codes: 0 done, 1 it failed, 2 the arguments make no sense."
)]
pub struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Serves the pages and runs the jobs
    ///
    /// On a new data folder it draws the keys, makes the database and loads nothing: run `waymark seed` once.
    Serve(Place),
    /// Shows the whole program with invented people, on this machine only
    ///
    /// Makes a new database in its own folder, or goes on with the demonstration it made there before. It refuses
    /// any folder or database that it did not make, and any address but this machine's own.
    Demo(Place),
    /// Brings the database to this program's schema
    Migrate(Place),
    /// Fills an empty database with the program's data and no people
    Seed(seed::Seed),
    /// Adds the people who run the program
    #[command(subcommand)]
    Staff(staff::Staff),
    /// Runs the jobs alone, beside servers on a PostgreSQL database
    ///
    /// Letters go out, the audit log is sealed, old drafts are removed. On SQLite `waymark serve` does it by itself.
    Jobs(Place),
    /// Reads the audit log again and names the first row that is not as it was written
    ///
    /// Works beside a running server and on a restored copy; needs no keys. It prints the head of the log. Write the
    /// head down outside this machine: later `--head` tells whether the end was cut off or the log written anew.
    Verify(verify::Verify),
    /// Looks the installation over and says in words what is wrong
    Doctor(doctor::Doctor),
}

/// Where a command works. Each option wins over the environment and the settings file.
#[derive(Debug, Clone, Args)]
struct Place {
    /// Address and port to listen on [usual: 127.0.0.1:8080]
    #[arg(long, value_name = "ADDR")]
    listen: Option<SocketAddr>,
    /// Folder of the database file, the keys and the mail written as files [usual: data, or data/demo for demo]
    #[arg(long, value_name = "DIR")]
    data: Option<PathBuf>,
    /// Database: sqlite:PATH, a plain path, or postgres://... [usual: waymark.sqlite in the data folder]
    #[arg(long, value_name = "URL", hide_env_values = true)]
    database: Option<String>,
}

impl Place {
    fn overrides(self, demo: bool) -> Overrides {
        Overrides { data: self.data, listen: self.listen, database: self.database, demo }
    }
}

/// Runs one command to its end.
#[must_use]
pub fn run(arguments: Arguments) -> ExitCode {
    let done = match arguments.command {
        Command::Serve(place) => serve::run(place),
        Command::Demo(place) => demo::run(place),
        Command::Migrate(place) => migrate::run(place),
        Command::Seed(wanted) => seed::run(wanted),
        Command::Staff(wanted) => staff::run(wanted),
        Command::Jobs(place) => jobs::run(place),
        Command::Verify(wanted) => verify::run(wanted),
        Command::Doctor(doctor) => doctor::run(doctor),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            eprintln!("waymark: {}", told(&fault));
            ExitCode::FAILURE
        }
    }
}

/// The fault and its causes in one line; several settings at fault keep a line each.
fn told(fault: &anyhow::Error) -> String {
    let links: Vec<String> = fault.chain().map(ToString::to_string).collect();
    links.join(": ")
}
