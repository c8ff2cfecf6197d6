//! Times an import of 50,000 rows through the front door (U35), beside one of 500 in the same service, and reads the most
//! memory that the service held.

use std::fmt::Write;
use std::path::Path;
use std::time::{Duration, Instant};

use anyhow::{Context, ensure};

use crate::budgets::Budgets;
use crate::office::{Office, field};
use crate::service::{Scratch, Service};

const PAGE: &str = "/families/import";
const ROWS: usize = 50_000;
const FEW: usize = 500;
/// What each column is.
const COLUMNS: &str = "column_0=child_name&column_1=birth_date&column_2=county&column_3=adult_name&column_4=phone\
    &column_5=email&column_6=&column_7=&order=month_first";

/// A sheet of so many children; every second one is a brother or sister of the one before. `mark` keeps two sheets apart.
fn sheet(rows: usize, mark: &str) -> String {
    let mut text = String::from("Rider,Birth date,County,Parent,Phone,E-mail,Shirt,Remarks\n");
    for row in 0..rows {
        let (family, day) = (row / 2, row % 28 + 1);
        let shirt = ["S", "M", "L"][row % 3];
        writeln!(
            text,
            "\"{mark}{family}, Rider{row}\",4/{day}/2015,Lake,Parent {mark}{family},406 {:03} {:04},p{mark}{family}@example.org,{shirt},came last year",
            200 + family / 10_000,
            family % 10_000,
        )
        .expect("a String takes all");
    }
    text
}

/// Imports a sheet; gives the time from the first byte to the answer of the last press.
fn import(office: &Office, rows: usize, mark: &str) -> anyhow::Result<Duration> {
    let text = sheet(rows, mark);
    let token = field(&office.get(PAGE)?, "form_token").context("no form")?;
    let began = Instant::now();
    let body = format!(
        "--edge\r\nContent-Disposition: form-data; name=\"form_token\"\r\n\r\n{token}\r\n--edge\r\n\
         Content-Disposition: form-data; name=\"file\"; filename=\"riders.csv\"\r\n\r\n{text}\r\n--edge--\r\n"
    );
    let kind = "Content-Type: multipart/form-data; boundary=edge";
    let columns = office.send(PAGE, kind, body.as_bytes())?;
    let way = office.post(&columns, &format!("form_token={token}&{COLUMNS}"))?;
    let page = office.get(&way)?;
    ensure!(page.contains(&format!("{rows} children")), "the page does not count {rows} children");
    let seen = field(&page, "seen").context("nothing to press")?;
    office.post(&way, &format!("form_token={token}&seen={seen}"))?;
    let took = began.elapsed();
    ensure!(office.get(PAGE)?.contains(&format!("{rows} children")), "the list does not count {rows} children");
    Ok(took)
}

/// Imports a short and a long sheet and prints both times and the memory.
///
/// # Errors
/// When an import fails, takes longer or holds more than the budget allows.
pub fn measure(binary: &Path, budgets: &Path) -> anyhow::Result<()> {
    let budget = Budgets::read(budgets)?.import;
    let scratch = Scratch::new("import")?;
    let service = Service::start(binary, &scratch.0.join("data"))?;
    let office = Office::enter(service.address)?;
    let floor = import(&office, FEW, "few")?;
    let before = service.peak_mb()?;
    let took = import(&office, ROWS, "many")?;
    let peak = service.peak_mb()?;
    println!("memory: at most {peak} MB, before the import {before} MB, bar {} MB", budget.most_mb);
    ensure!(peak <= budget.most_mb, "{peak} MB, more than {} MB", budget.most_mb);
    budget.time.judge("an import of 50,000 rows", took, floor, 1)
}
