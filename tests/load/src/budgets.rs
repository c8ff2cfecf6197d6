//! The figures that may not be passed, and how a figure is told beside its floor.

use std::fs;
use std::path::Path;
use std::time::Duration;

use anyhow::{Context, ensure};
use serde::Deserialize;

/// What each measure may take.
#[derive(Deserialize)]
pub struct Budgets {
    pub ready: Budget,
    pub rows: Budget,
    pub outage: Share,
    pub import: Import,
    pub opening: Opening,
    pub people: Budget,
    pub assignment: Budget,
}

/// The figures of the opening minute.
#[derive(Deserialize)]
pub struct Opening {
    /// Any request of a family.
    pub page: Budget,
    /// The health of the service meanwhile.
    pub health: Budget,
}

/// A figure with the memory it may take.
#[derive(Deserialize)]
pub struct Import {
    /// The most memory that the service may hold, in MB.
    pub most_mb: u64,
    /// The time.
    #[serde(flatten)]
    pub time: Budget,
}

/// A figure that is a share of its floor.
#[derive(Deserialize)]
pub struct Share {
    bar: f64,
    fails_at: f64,
}

/// One figure.
#[derive(Deserialize)]
pub struct Budget {
    bar_ms: u32,
    fails_at: f64,
}

impl Budgets {
    /// The figures of a file.
    pub fn read(path: &Path) -> anyhow::Result<Self> {
        let text = fs::read_to_string(path).with_context(|| format!("cannot read {}", path.display()))?;
        toml::from_str(&text).context("budgets.toml")
    }
}

impl Budget {
    /// Prints a median beside its floor and its bar.
    ///
    /// # Errors
    /// When it passes the bar by more than the budget allows.
    pub fn judge(&self, name: &str, median: Duration, floor: Duration, runs: usize) -> anyhow::Result<()> {
        let bar = Duration::from_millis(self.bar_ms.into());
        let ratio = median.as_secs_f64() / floor.as_secs_f64();
        println!("{name}: {median:.1?}, floor {floor:.1?}, {ratio:.1} times, bar {bar:.1?} ({runs} runs)");
        let limit = bar.mul_f64(self.fails_at);
        ensure!(median <= limit, "{name} took {median:.1?}, more than {limit:.1?}");
        Ok(())
    }
}

impl Share {
    /// Prints a figure beside its floor and its bar.
    ///
    /// # Errors
    /// When it passes the bar by more than the budget allows.
    pub fn judge(&self, name: &str, figure: Duration, floor: Duration, runs: usize) -> anyhow::Result<()> {
        let (ratio, bar, limit) = (figure.as_secs_f64() / floor.as_secs_f64(), self.bar, self.bar * self.fails_at);
        println!("{name}: {figure:.1?}, floor {floor:.1?}, {ratio:.2} times, bar {bar:.2} times ({runs} runs each)");
        ensure!(ratio <= limit, "{name} took {ratio:.2} times its floor, more than {limit:.2}");
        Ok(())
    }
}

/// What 95 of 100 do not pass.
pub fn p95(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times[(times.len() * 95).div_ceil(100).saturating_sub(1)]
}

/// The middle one.
pub fn median(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times[times.len() / 2]
}
