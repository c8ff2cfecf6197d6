//! Writes the county lists that ship in `seed/counties/` from the atlas packages.
//!
//! Takes codes and names as the packages have them; it corrects nothing and leaves the shapes alone.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use anyhow::{Context, ensure};
use serde_json::Value;

/// Code of each of the 50 states and DC with the post's two letters.
/// Source: ANSI INCITS 38:2009, checked against PyPI `us` 4.0.0 by `house_4_state_codes_equal_an_outside_list`.
const LETTERS: &str = "\
    01=AL 02=AK 04=AZ 05=AR 06=CA 08=CO 09=CT 10=DE 11=DC 12=FL 13=GA 15=HI 16=ID \
    17=IL 18=IN 19=IA 20=KS 21=KY 22=LA 23=ME 24=MD 25=MA 26=MI 27=MN 28=MS 29=MO \
    30=MT 31=NE 32=NV 33=NH 34=NJ 35=NM 36=NY 37=NC 38=ND 39=OH 40=OK 41=OR 42=PA \
    44=RI 45=SC 46=SD 47=TN 48=TX 49=UT 50=VT 51=VA 53=WA 54=WV 55=WI 56=WY";

/// Reads both atlases and writes `2017.csv`, `2023.csv` and `states.csv` into `out`, in the order of the codes.
///
/// # Errors
/// When a file is missing, is no atlas, or does not have the counts that its edition is known for.
pub fn write_lists(atlas_2017: &Path, atlas_2023: &Path, out: &Path) -> anyhow::Result<()> {
    let letters = letters();
    fs::create_dir_all(out).with_context(|| format!("cannot make {}", out.display()))?;
    for (year, path, expected) in [("2017", atlas_2017, 3142), ("2023", atlas_2023, 3144)] {
        let counties = areas(path, "counties")?;
        ensure!(counties.len() == expected, "{}: {} counties, not {expected}", path.display(), counties.len());
        let lines = counties.iter().map(|(fips, name)| [fips, letters[&fips[..2]], name]);
        write(out, year, "fips,state,name", lines)?;
    }
    let states = areas(atlas_2023, "states")?;
    ensure!(states.len() == letters.len(), "{} states, not {}", states.len(), letters.len());
    let lines = states.iter().map(|(fips, name)| [fips, letters[fips.as_str()], name]);
    write(out, "states", "fips,letters,name", lines)
}

fn letters() -> BTreeMap<&'static str, &'static str> {
    LETTERS.split_whitespace().filter_map(|pair| pair.split_once('=')).collect()
}

/// Code and name of each area of one TopoJSON object that lies in the 50 states or DC; territories are left out.
fn areas(atlas: &Path, object: &str) -> anyhow::Result<BTreeMap<String, String>> {
    let text = fs::read_to_string(atlas).with_context(|| format!("cannot read {}", atlas.display()))?;
    let topology: Value = serde_json::from_str(&text).with_context(|| format!("{} is no JSON", atlas.display()))?;
    let shapes = topology["objects"][object]["geometries"].as_array();
    let shapes = shapes.with_context(|| format!("{} has no {object}", atlas.display()))?;
    let letters = letters();
    let mut found = BTreeMap::new();
    for shape in shapes {
        let fips = shape["id"].as_str().context("a shape without a code")?;
        let name = shape["properties"]["name"].as_str().context("a shape without a name")?;
        ensure!(!name.contains([',', '"', '\n']), "{name:?} would need quotes");
        if fips.get(..2).is_some_and(|state| letters.contains_key(state)) {
            ensure!(found.insert(fips.to_owned(), name.to_owned()).is_none(), "{fips} comes twice");
        }
    }
    Ok(found)
}

fn write<'a>(out: &Path, name: &str, heading: &str, lines: impl Iterator<Item = [&'a str; 3]>) -> anyhow::Result<()> {
    let path = out.join(format!("{name}.csv"));
    let mut count = 0;
    let mut text = format!("{heading}\n");
    for line in lines {
        text += &(line.join(",") + "\n");
        count += 1;
    }
    fs::write(&path, text).with_context(|| format!("cannot write {}", path.display()))?;
    println!("{}: {count} lines", path.display());
    Ok(())
}
