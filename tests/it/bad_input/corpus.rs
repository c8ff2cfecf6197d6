//! What is sent instead of an answer, by classes.

/// The classes of values, as the spread is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// Nothing, or nothing to see.
    Empty,
    /// Letters that break lines, directions and lengths.
    Letters,
    /// Numbers out of every range, or no numbers.
    Numbers,
    /// Days and times that do not exist.
    Dates,
    /// Text that means something to another program.
    Polyglot,
    /// Longer than anybody types.
    Huge,
    /// References that belong to somebody else, or to nothing.
    Foreign,
    /// What no page of ours can send.
    Malformed,
    /// The right answers.
    Right,
    /// A form token that is missing, stale or somebody else's.
    Token,
    /// A field that the form does not have.
    Extra,
}

/// One value and its class.
pub type Value = (Class, String);

/// The HTML, attribute, URL, script, CSV and header polyglot. Its letters are kept by a name.
pub const POLYGLOT: &str = "=1+1\"'><img src=x onerror=alert(1)>{{7*7}}</script><script>alert(1)</script>";

/// Values that a person could type or paste.
pub fn typed() -> Vec<Value> {
    let mut all: Vec<Value> = Vec::new();
    let mut add = |class: Class, values: &[&str]| {
        all.extend(values.iter().map(|value| (class, (*value).to_owned())));
    };
    add(Class::Empty, &["", "   ", "\t", "\u{a0}", "\u{200b}", "\u{feff}"]);
    add(
        Class::Letters,
        &[
            "\u{202e}gnp.exe",
            "\u{2067}abc\u{2069}",
            "a\u{301}\u{302}\u{303}\u{304}\u{305}\u{306}\u{307}\u{308}",
            "\u{1f468}\u{200d}\u{1f469}\u{200d}\u{1f467}\u{1f40e}",
            "\u{1}\u{7}\u{1b}[31m",
            "\u{7f}",
            "\u{85}\u{2028}\u{2029}",
            "\u{ffff}\u{fdd0}\u{10ffff}",
            "\u{e000}",
            "\u{130}I\u{131}\u{df}\u{fb01}",
            "a\r\nBcc: x@example.org",
            "a\nb",
        ],
    );
    add(
        Class::Numbers,
        &[
            "0",
            "-0",
            "-1",
            "1e9",
            "1e400",
            "NaN",
            "inf",
            "0x10",
            "007",
            "1,5",
            "1.5",
            "1/0",
            ".",
            "-",
            "2147483648",
            "9223372036854775807",
            "9223372036854775808",
            "9223372036854775809",
            "-9223372036854775809",
            "340282366920938463463374607431768211456",
            "\u{ff11}\u{ff12}",
            "\u{661}\u{662}",
            "99999999999999 ft",
            "9e18 lb",
        ],
    );
    add(
        Class::Dates,
        &[
            "31",
            "0000",
            "99",
            "2026-02-31",
            "0000-00-00",
            "0000-01-01",
            "9999-12-31",
            "-0001-01-01",
            "24:60",
            "12:00 XM",
        ],
    );
    add(
        Class::Polyglot,
        &[
            POLYGLOT,
            "'; DROP TABLE riders; --",
            "' OR '1'='1",
            "%' ESCAPE '\\",
            "%_\\",
            "../../../../etc/passwd",
            "..\\..\\windows",
            "//evil.example",
            "https:evil.example",
            "javascript:alert(1)",
            "$(id)`id`",
            "{\"a\":1}",
            "<!--#exec cmd=\"id\"-->",
        ],
    );
    all.push((Class::Huge, "a".repeat(301)));
    all.push((Class::Huge, "\u{1f40e}".repeat(5_000)));
    all.push((Class::Huge, "9".repeat(4_000)));
    all.push((Class::Huge, "x".repeat(100_000)));
    all
}

/// For fields that the page fills by itself: lists, buttons, boxes, what it carries.
pub fn carried() -> Vec<Value> {
    let few = [
        "",
        " ",
        "-1",
        "0",
        "9223372036854775808",
        "1e9",
        "no-such-word",
        "\u{202e}",
        "\u{1f40e}",
        POLYGLOT,
        "'",
        "//evil.example",
        "../..",
        "a\r\nb",
    ];
    let class = |value: &str| match value {
        "" | " " => Class::Empty,
        "-1" | "0" | "1e9" | "9223372036854775808" => Class::Numbers,
        "no-such-word" => Class::Foreign,
        "\u{202e}" | "\u{1f40e}" | "a\r\nb" => Class::Letters,
        _ => Class::Polyglot,
    };
    let mut all: Vec<Value> = few.iter().map(|value| (class(value), (*value).to_owned())).collect();
    all.push((Class::Huge, "x".repeat(3_000)));
    all
}

/// Whole pairs that no page of ours can send; `{}` stands for the field's name.
pub const MALFORMED: [&str; 12] = [
    "{}=1&{}=2",
    "{}[]=1",
    "{}[0]=1",
    "{}%5Ba%5D=1",
    "{}=%00",
    "{}=a%00b",
    "{}=%FF",
    "{}=%C3",
    "{}=%C0%AF",
    "{}=%ED%A0%80",
    "{}=%zz",
    "{}=%4",
];

/// In place of one piece of a path, already encoded.
pub fn pieces() -> Vec<Value> {
    let plain = [
        (Class::Empty, vec!["%20", "%09", "%C2%A0"]),
        (Class::Letters, vec!["%E2%80%AE", "a%CC%81", "%F0%9F%90%8E", "%0D%0AX-Evil:1", "%1B%5B31m", "%EF%BF%BF"]),
        (
            Class::Numbers,
            vec!["0", "-1", "1e9", "9223372036854775807", "9223372036854775808", "9223372036854775809", "65536", "NaN"],
        ),
        (Class::Dates, vec!["2026-02-31"]),
        (
            Class::Polyglot,
            vec![
                "..",
                "%2e%2e",
                "..%2f..%2fetc%2fpasswd",
                "%27%20OR%201=1--",
                "%25",
                "%3Cscript%3E",
                "%22",
                ";a=b",
                "%5C%5Cevil",
                "*",
            ],
        ),
        (Class::Malformed, vec!["%00", "%FF", "%C3", "%ED%A0%80", "%zz", "%4", "%"]),
    ];
    let mut all: Vec<Value> = Vec::new();
    for (class, values) in plain {
        all.extend(values.into_iter().map(|value| (class, value.to_owned())));
    }
    all.push((Class::Huge, "a".repeat(5_000)));
    all
}
