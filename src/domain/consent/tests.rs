//! The texts that ship, and what counts as signing.

use super::*;

const SHIPPED: [&str; 4] = [
    include_str!("../../../seed/consents/ride.en.toml"),
    include_str!("../../../seed/consents/ride.es.toml"),
    include_str!("../../../seed/consents/photo.en.toml"),
    include_str!("../../../seed/consents/photo.es.toml"),
];

fn shipped() -> [ConsentText; 4] {
    SHIPPED.map(|text| toml::from_str(text).unwrap())
}

fn ride() -> ConsentText {
    toml::from_str(SHIPPED[0]).unwrap()
}

fn keys(text: &ConsentText) -> Vec<&str> {
    text.clauses.iter().map(|clause| clause.key.as_str()).collect()
}

fn every_tick(text: &ConsentText) -> BTreeSet<String> {
    text.clauses.iter().map(|clause| clause.key.clone()).collect()
}

#[test]
fn house_3_shipped_texts_are_samples_without_fault_and_the_languages_match() {
    let texts = shipped();
    for text in &texts {
        assert_eq!(text.faults(), []);
        assert!(text.sample);
        let json = serde_json::to_string(text).unwrap();
        assert_eq!(&serde_json::from_str::<ConsentText>(&json).unwrap(), text);
    }
    for pair in texts.chunks(2) {
        assert_eq!(keys(&pair[0]), keys(&pair[1]));
        assert_eq!((pair[0].language, pair[1].language), (Lang::En, Lang::Es));
        assert_eq!((pair[0].kind, pair[0].version), (pair[1].kind, pair[1].version));
    }
}

/// American Academy of Pediatrics, Pediatrics 150(4), October 2022, e2022059279: no child under 16.
#[test]
fn house_3_the_ride_text_opens_with_the_paediatric_caution_and_names_each_risk() {
    let [english, spanish, ..] = shipped();
    for text in [&english, &spanish] {
        let shown = text.shown_text();
        let first = shown.split("\n\n").nth(1).unwrap();
        assert!(first.contains("16") && first.contains("e2022059279"), "{first}");
    }
    let risks = |text: &ConsentText| text.clauses.iter().find(|c| c.key == "risks").unwrap().text.clone();
    for risk in ["rollover", "collision", "thrown off", "burns", "weather", "other riders", "death"] {
        assert!(risks(&english).contains(risk), "{risk}");
    }
    for risk in ["volcaduras", "choques", "salir despedido", "quemaduras", "mal tiempo", "otros conductores", "muerte"]
    {
        assert!(risks(&spanish).contains(risk), "{risk}");
    }
}

#[test]
fn house_3_the_shown_text_changes_with_any_word_version_or_language_and_not_with_line_ends() {
    let text = ride();
    let shown = text.shown_text();
    assert!(shown.starts_with("ride 1 en\n\n") && shown.contains("\n\n8. ") && shown.ends_with('\n'));
    let mut other = text.clone();
    other.version = 2;
    assert_ne!(other.shown_text(), shown);
    other = text.clone();
    other.clauses[3].text.push('!');
    assert_ne!(other.shown_text(), shown);
    let windows: ConsentText = toml::from_str(&SHIPPED[0].replace('\n', "\r\n")).unwrap();
    assert_eq!(windows.shown_text(), shown);
}

#[test]
fn house_3_faults_of_a_text_are_all_told() {
    let mut text = ride();
    text.caution = None;
    text.sample_notice = Some(" ".into());
    text.title.clear();
    text.clauses[1].key = text.clauses[0].key.clone();
    let key = text.clauses[0].key.clone();
    let expected = [
        ConsentFault::DuplicateClause { key },
        ConsentFault::Empty { field: "title".into() },
        ConsentFault::SampleWithoutNotice,
        ConsentFault::RideWithoutCaution,
    ];
    assert_eq!(text.faults(), expected);
    text.clauses.clear();
    assert!(text.faults().contains(&ConsentFault::NoClauses));
}

#[test]
fn house_3_each_clause_left_without_a_tick_is_named() {
    let text = ride();
    for clause in &text.clauses {
        let mut ticks = every_tick(&text);
        ticks.remove(&clause.key);
        let refusal = ConsentRefusal::NotEveryClause { missing: vec![clause.key.clone()] };
        assert_eq!(text.sign(&ticks, "Ana Ruiz", "Ana Ruiz"), Err(vec![refusal]));
    }
    let all: Vec<String> = text.clauses.iter().map(|clause| clause.key.clone()).collect();
    let both = vec![ConsentRefusal::NotEveryClause { missing: all }, ConsentRefusal::NameMissing];
    assert_eq!(text.sign(&BTreeSet::new(), " - ", "Ana Ruiz"), Err(both));
    let mut ticks = every_tick(&text);
    ticks.insert("other".into());
    let unknown = vec![ConsentRefusal::UnknownClause { key: "other".into() }];
    assert_eq!(text.sign(&ticks, "Ana Ruiz", "Ana Ruiz"), Err(unknown));
}

#[test]
fn house_3_the_typed_name_is_matched_without_case_space_or_accents() {
    let text = ride();
    let signs = |typed: &str, guardian: &str| text.sign(&every_tick(&text), typed, guardian);
    let same = [
        ("jose garcia", "José García"),
        ("  JOSÉ   GARCI\u{301}A ", "José García"),
        ("Nguyen Thi Hoa", "Nguyễn Thị Hoa"),
        ("Lukasz Wojcik", "Łukasz Wójcik"),
        ("Mary Ann O'Brien", "Mary-Ann O’Brien"),
        ("Soren Weiss", "Søren Weiß"),
        ("Sukarno", "SUKARNO"),
        ("山田 花子", "山田花子"),
    ];
    for (typed, guardian) in same {
        let signed = signs(typed, guardian).unwrap();
        assert_eq!(signed.typed_name, typed);
        assert_eq!((signed.shown_text, signed.ticks.len()), (text.shown_text(), text.clauses.len()));
    }
    for (typed, guardian) in [("Jose", "José García"), ("García José", "José García"), ("Joseph Garcia", "José García")]
    {
        assert_eq!(signs(typed, guardian), Err(vec![ConsentRefusal::NameDiffers]), "{typed}");
    }
    for empty in ["", "  ", "--", "'"] {
        assert_eq!(signs(empty, "José García"), Err(vec![ConsentRefusal::NameMissing]), "{empty:?}");
    }
}

#[test]
fn house_3_no_sentence_of_a_shipped_text_runs_over_twenty_five_words() {
    for text in shipped() {
        for words in text.clauses.iter().map(|clause| &clause.text).chain([&text.summary]) {
            for sentence in words.split(". ") {
                assert!(sentence.split_whitespace().count() <= 25, "{sentence}");
            }
        }
    }
}
