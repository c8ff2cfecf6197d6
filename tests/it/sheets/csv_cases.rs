//! Text with separators: encodings, separators, quotes, line ends, and what stands in a cell.

use waymark::outside::sheet::SheetFault;

use super::{Case, LIMITS, fault, table};

fn utf16(text: &str, mark: bool, bytes: fn(u16) -> [u8; 2]) -> Vec<u8> {
    let mark = if mark { Some(0xFEFF) } else { None };
    mark.into_iter().chain(text.encode_utf16()).flat_map(bytes).collect()
}

const JOSE: &str = "Name,Town\nJosé,León\n";
const JOSE_ROW: [&str; 2] = ["Name|Town", "2: José|León"];

fn jose(name: &'static str, bytes: impl Into<Vec<u8>>, read_as: &'static str) -> Case {
    table(name, bytes, &[JOSE_ROW[0], JOSE_ROW[1], read_as])
}

fn encodings() -> Vec<Case> {
    vec![
        jose("UTF-8", JOSE, "= Utf8 ,"),
        jose("UTF-8 with a mark", format!("\u{feff}{JOSE}"), "= Utf8 ,"),
        jose("UTF-16, low byte first, with a mark", utf16(JOSE, true, u16::to_le_bytes), "= Utf16Le ,"),
        jose("UTF-16, high byte first, with a mark", utf16(JOSE, true, u16::to_be_bytes), "= Utf16Be ,"),
        jose("UTF-16, low byte first, without a mark", utf16(JOSE, false, u16::to_le_bytes), "= Utf16Le ,"),
        jose("UTF-16, high byte first, without a mark", utf16(JOSE, false, u16::to_be_bytes), "= Utf16Be ,"),
        jose("Windows-1252", *b"Name,Town\nJos\xE9,Le\xF3n\n", "= Windows1252 ,"),
        table(
            "Windows-1252 with a curly apostrophe",
            *b"Name,Town\nD\x92Arcy,Elm\n",
            &["Name|Town", "2: D’Arcy|Elm", "= Windows1252 ,"],
        ),
        table(
            "half a character of UTF-16",
            *b"\xFF\xFEN\0,\0T\0\n\0\x00\xD8,\0E\0\n\0",
            &["N|T", "2: !LostCharacter|E", "= Utf16Le ,"],
        ),
        table(
            "a character lost before",
            "Name,Town\nMu\u{FFFD}oz,Elm\n",
            &["Name|Town", "2: !LostCharacter|Elm", "= Utf8 ,"],
        ),
    ]
}

fn separators() -> Vec<Case> {
    vec![
        table(
            "semicolons, with commas in numbers",
            "Name;Fee\nAna;12,50\nBo;13,50\n",
            &["Name|Fee", "2: Ana|12,50", "3: Bo|13,50", "= Utf8 ;"],
        ),
        table(
            "tabs, with a comma in every name",
            "Name\tTown\nRuiz, Ana\tElm\nLee, Bo\tOak\n",
            &["Name|Town", "2: Ruiz, Ana|Elm", "3: Lee, Bo|Oak", "= Utf8 tab"],
        ),
        table("pipes", "Name|Town\nAna|Elm\n", &["Name|Town", "2: Ana|Elm", "= Utf8 |"]),
        table(
            "a heading with more semicolons than commas",
            "Name (first; middle; last),Town\nAna,Elm\nBo,Oak\n",
            &["Name (first; middle; last)|Town", "2: Ana|Elm", "3: Bo|Oak", "= Utf8 ,"],
        ),
        table(
            "semicolons inside quotes only",
            "Name,Likes\n\"Ana\",\"a;b;c\"\n\"Bo\",\"d;e;f\"\n",
            &["Name|Likes", "2: Ana|a;b;c", "3: Bo|d;e;f", "= Utf8 ,"],
        ),
        table(
            "a comma in each line, the heading too, and tabs",
            "Last, first\tTown\tAge\nRuiz, Ana\tElm\tx\n",
            &["Last, first|Town|Age", "2: Ruiz, Ana|Elm|x", "= Utf8 tab"],
        ),
        table(
            "two columns by tabs and by commas",
            "Last, first\tTown\nRuiz, Ana\tElm\n",
            &["Last, first|Town", "2: Ruiz, Ana|Elm", "= Utf8 tab"],
        ),
        table(
            "a line that tells the separator",
            "sep=;\nName;Town, State\nAna;Elm, OR\n",
            &["Name|Town, State", "3: Ana|Elm, OR", "~ 1-1 SeparatorLine", "= Utf8 ;"],
        ),
        table(
            "a line that tells another separator, quoted",
            "\"SEP=#\"\r\nName#Town\r\nAna#Elm\r\n",
            &["Name|Town", "3: Ana|Elm", "~ 1-1 SeparatorLine", "= Utf8 #"],
        ),
        table("one column", "Name\nAna\nBo\n", &["Name", "2: Ana", "3: Bo", "= Utf8 none"]),
    ]
}

fn quotes_and_lines() -> Vec<Case> {
    vec![
        table(
            "a quoted cell over lines",
            "Name,Note\nAna,\"one\r\ntwo\n\nthree\"\nBo,x\n",
            &["Name|Note", "2: Ana|one\ntwo\n\nthree", "6: Bo|x", "= Utf8 ,"],
        ),
        table(
            "doubled quotes",
            "Name,Note\n\"Ana \"\"Nan\"\" Ruiz\",x\n",
            &["Name|Note", "2: Ana \"Nan\" Ruiz|x", "= Utf8 ,"],
        ),
        table(
            "stray quotes",
            "Name,Height\nAna \"Nan\" Ruiz,4' 6\"\n\"Bo\" Lee,5'\n",
            &["Name|Height", "2: Ana \"Nan\" Ruiz|4' 6\"", "3: Bo Lee|5'", "= Utf8 ,"],
        ),
        table(
            "the mark that reading ends with, in a cell and alone",
            "Name,Town\nA\u{10fffe},Elm\n\u{10fffe}\nBo,Oak\n",
            &["Name|Town", "2: A\u{10fffe}|Elm", "3: \u{10fffe}|", "4: Bo|Oak", "= Utf8 ,"],
        ),
        fault(
            "a quote never closed in the last cell",
            "Name,Note\nAna,x\nBo,\"",
            SheetFault::QuoteNeverClosed { row: 3 },
        ),
        fault(
            "a quote never closed before many rows",
            format!("Name,Note\n\"Ana,x\n{}", "Bo,y\n".repeat(9_000)),
            SheetFault::QuoteNeverClosed { row: 2 },
        ),
        fault("a quote never closed", "Name,Note\nAna,x\nBo,\"y\nCy,z\n", SheetFault::QuoteNeverClosed { row: 3 }),
        table(
            "carriage returns alone",
            "Name,Town\rAna,Elm\rBo,Oak\r",
            &["Name|Town", "2: Ana|Elm", "3: Bo|Oak", "= Utf8 ,"],
        ),
        table(
            "both line ends mixed",
            "Name,Town\r\nAna,Elm\nBo,Oak\rCy,Ash",
            &["Name|Town", "2: Ana|Elm", "3: Bo|Oak", "4: Cy|Ash", "= Utf8 ,"],
        ),
        table(
            "blank lines and lines of separators",
            "\n\nName,Town\n\nAna,Elm\n , \n\nBo,Oak\n\n,\n",
            &["Name|Town", "5: Ana|Elm", "8: Bo|Oak", "~ 1-2 Blank", "~ 4-4 Blank", "~ 6-7 Blank", "= Utf8 ,"],
        ),
        table(
            "rows too short",
            "Name,Town,Age\nAna\nBo,Oak\n",
            &["Name|Town|Age", "2: Ana||", "3: Bo|Oak|", "= Utf8 ,"],
        ),
        table(
            "rows longer by blanks",
            "Name,Town\nAna,Elm,,\nBo,Oak, ,\n",
            &["Name|Town", "2: Ana|Elm", "3: Bo|Oak", "= Utf8 ,"],
        ),
        table(
            "a row longer by an unquoted comma",
            "Name,Street,Town\nAna,1 Elm,Oak\nBo,2 Elm,Apt 3,Oak\nCy,x,y\n",
            &["Name|Street|Town|Column D", "2: Ana|1 Elm|Oak|", "3: Bo|2 Elm|Apt 3|Oak>", "4: Cy|x|y|", "= Utf8 ,"],
        ),
    ]
}

fn cells() -> Vec<Case> {
    vec![
        table(
            "blanks and invisible characters",
            "\u{a0}Name ,Town\n\u{200b}Ana\u{a0}Ruiz\u{feff}, \u{2003}Elm\t\n\u{202a}+1 555\u{202c},x\n",
            &["Name|Town", "2: Ana Ruiz|Elm", "3: +1 555|x", "= Utf8 ,"],
        ),
        table(
            "control characters and zero bytes",
            "Name,Town\nA\u{1}na,Elm\nB\0o,Oak\n",
            &["Name|Town", "2: !ControlCharacter|Elm", "3: !ControlCharacter|Oak", "= Utf8 ,"],
        ),
        table(
            "apostrophes that force text",
            "Name,Code\n'Aukai,'0123\n'=x,=\"0042\"\n",
            &["Name|Code", "2: 'Aukai|0123", "3: =x|0042", "= Utf8 ,"],
        ),
        table(
            "failed formulas as text",
            "Name,Age\nAna,#REF!\nBo,#N/A\n",
            &["Name|Age", "2: Ana|!#REF!", "3: Bo|!#N/A", "= Utf8 ,"],
        ),
        table(
            "dates stay text",
            "Name,Born\nAna,5/6/14\nBo,2014-06-05\n",
            &["Name|Born", "2: Ana|5/6/14", "3: Bo|2014-06-05", "= Utf8 ,"],
        ),
    ]
}

fn limits() -> Vec<Case> {
    let long = "x".repeat(LIMITS.characters + 1);
    let wide = ["N"; 13].join(",");
    vec![
        fault("nothing", "", SheetFault::Empty),
        fault("a mark alone", "\u{feff}", SheetFault::Empty),
        fault("blanks alone", " \r\n \t\r\n", SheetFault::Empty),
        fault("a line that tells the separator, and nothing else", "sep=;", SheetFault::Empty),
        fault("separators alone", ",,,\n,,\n", SheetFault::Empty),
        fault("a heading alone", "Name,Town,Age\n", SheetFault::NoRows { heading: 1 }),
        fault(
            "values alone",
            "Ana,1,2014-05-06,ana@example.org\nBo,2,2013-01-02,bo@example.org\n",
            SheetFault::NoHeading { row: 1 },
        ),
        fault("too many bytes", "a,b\n".repeat(20_000), SheetFault::TooManyBytes { most: LIMITS.bytes }),
        fault("too many rows", "Name,Town\n".repeat(LIMITS.rows + 1), SheetFault::TooManyRows { most: LIMITS.rows }),
        fault("too many columns", format!("{wide}\n{wide}\n"), SheetFault::TooManyColumns { most: LIMITS.columns }),
        fault("too many columns, each row short", staircase(), SheetFault::TooManyColumns { most: LIMITS.columns }),
        fault(
            "too many characters",
            format!("Name,Town\nAna,{long}\n"),
            SheetFault::CellTooLong { row: 2, column: "B".into(), most: LIMITS.characters },
        ),
        table(
            "many bytes, yet not too many characters",
            format!("Name,Town\nAna,{}\n", "é".repeat(5)),
            &["Name|Town", "2: Ana|ééééé", "= Utf8 ,"],
        ),
    ]
}

/// Rows of two cells, each pair further right than the last.
fn staircase() -> String {
    let step = |place: usize| format!("{}x,y\n", ",".repeat(place));
    "Name,Town\n".to_owned() + &(0..13).map(step).collect::<String>()
}

pub fn cases() -> Vec<Case> {
    [encodings(), separators(), quotes_and_lines(), cells(), limits()].into_iter().flatten().collect()
}
