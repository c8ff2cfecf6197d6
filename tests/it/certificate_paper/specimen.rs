//! One certificate to look at, in English and in Spanish, and the tools that look at it. Asserts nothing about the paper.

use std::path::{Path, PathBuf};
use std::process::Command;

use chrono::{NaiveDate, NaiveDateTime};
use waymark::domain::certificate::CertificateCode;
use waymark::outside::pdf::{CannotSet, Sheet, certificate};

const CAUTION: &str = "This says what was completed, where and when. It is no license. Some states count it only \
    from a given age. Ride with an adult watching, in full gear, on the machine made for your age.";
const CAUTION_ES: &str = "Este papel dice qué se completó, dónde y cuándo. No es una licencia. Algunos estados lo \
    cuentan solo desde cierta edad. Maneje con un adulto que observa, con todo el equipo y en la máquina para su edad.";
const CODE: &str = "7K4M92QX0000HV3T5B6N";

pub(super) fn made_at() -> NaiveDateTime {
    NaiveDate::from_ymd_opt(2026, 6, 13).and_then(|day| day.and_hms_opt(22, 15, 9)).expect("a moment")
}

/// A code with its check digits, worked out by the program from twenty fixed characters' bits.
pub(super) fn code() -> CertificateCode {
    const ALPHABET: &str = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
    let bits = CODE.chars().fold(0, |bits, c| bits * 32 + ALPHABET.find(c).expect("in the alphabet") as u128);
    CertificateCode::from_bits(bits)
}

/// Sets a sheet in English, or in Spanish, for one name.
pub(super) fn set(name: &str, spanish: bool) -> Result<Vec<u8>, CannotSet> {
    set_with(name, spanish, &[("Rafael Tso", "lead instructor"), ("Priya Castellanos", "coordinator")])
}

pub(super) fn set_with(name: &str, spanish: bool, signers: &[(&str, &str)]) -> Result<Vec<u8>, CannotSet> {
    let grouped = code().grouped();
    let raw = code();
    let url = format!("https://waymark.example.org/c/{raw}");
    let english = Sheet {
        program_name: "Tamarack Ridge Youth Riding Program",
        heading: "Certificate of completion",
        lead_in: "This is to say that",
        rider_name: name,
        statement: &[
            "met every required skill of the Youth ATV riding course, curriculum 3,",
            "at Alder Flat, Larkspur County, Montana, on June 13, 2026.",
        ],
        signers,
        code_label: "Certificate number",
        code: &grouped,
        code_raw: raw.as_str(),
        valid_from_line: "Valid from June 13, 2026",
        check_url: &url,
        check_url_shown: "waymark.example.org/c",
        caution: CAUTION,
        lang: "en",
        made_at: made_at(),
    };
    let sheet = if spanish {
        Sheet {
            heading: "Certificado de finalización",
            lead_in: "Por este medio se hace constar que",
            statement: &[
                "demostró todas las habilidades requeridas del curso juvenil de manejo",
                "de vehículos todoterreno, plan de estudios 3,",
                "en Alder Flat, condado de Larkspur, Montana, el 13 de junio de 2026.",
            ],
            code_label: "Número de certificado",
            valid_from_line: "Válido desde el 13 de junio de 2026",
            caution: CAUTION_ES,
            lang: "es",
            ..english
        }
    } else {
        english
    };
    certificate(&sheet)
}

/// Writes a document where the tools can read it.
pub(super) fn kept(name: &str, bytes: &[u8]) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    std::fs::write(&path, bytes).expect("the build folder takes files");
    path
}

/// Runs a tool that must be installed and must succeed; gives what it printed.
pub(super) fn tool(program: &str, arguments: &[&str]) -> String {
    let output = Command::new(program)
        .args(arguments)
        .output()
        .unwrap_or_else(|fault| panic!("{program} must be installed to check the paper: {fault}"));
    let printed = String::from_utf8_lossy(&output.stdout).into_owned();
    let complaint = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success(), "{program} {arguments:?} failed: {complaint}{printed}");
    assert!(!complaint.contains("Syntax"), "{program} complains: {complaint}");
    printed
}

/// A path as an argument.
pub(super) fn text(path: &Path) -> &str {
    path.to_str().expect("a path of the build folder")
}

/// The value of one line of what `pdfinfo` prints.
pub(super) fn line_of<'a>(printed: &'a str, label: &str) -> &'a str {
    let line = printed.lines().find_map(|line| line.strip_prefix(label));
    line.unwrap_or_else(|| panic!("no {label} in {printed}")).trim()
}

/// Left, top, right and bottom of each word, as poppler measures it, and the word.
pub(super) fn words_of(path: &Path) -> Vec<([f32; 4], String)> {
    let printed = tool("pdftotext", &["-bbox", text(path), "-"]);
    let value = |line: &str, label: &str| -> f32 {
        let rest = line.split(&format!("{label}=\"")).nth(1).expect("a measure");
        rest.split('"').next().expect("a value").parse().expect("a number")
    };
    let words = printed.lines().filter(|line| line.trim_start().starts_with("<word"));
    words
        .map(|line| {
            let word = line.split('>').nth(1).and_then(|rest| rest.split('<').next()).expect("a word");
            (["xMin", "yMin", "xMax", "yMax"].map(|label| value(line, label)), word.to_string())
        })
        .collect()
}
