//! Every text in both languages, with the longest names that programs have: two segments at most.

use chrono::NaiveDate;

use super::*;
use crate::domain::words::{Lang, Word};

fn told(kind: TextKind, language: Lang) -> Told {
    Told {
        kind,
        to: "+14065550118".into(),
        language,
        program: "Bitter Creek Youth ATV Safety".into(),
        office_phone: "(406) 555-0100".into(),
        children: vec!["Zoë Marisol".into()],
        day: NaiveDate::from_ymd_opt(2026, 6, 13).unwrap(),
        time: chrono::NaiveTime::from_hms_opt(8, 30, 0).unwrap(),
        site: "Alder Flat".into(),
        until: Some(NaiveDate::from_ymd_opt(2026, 6, 11).unwrap().and_hms_opt(21, 0, 0).unwrap()),
        has_letters: true,
        href: "https://ride.example.org/sessions/k7m2q9x4tr".into(),
    }
}

#[test]
fn family_7_each_text_says_who_where_when_and_what_to_do() {
    for (kind, has_letters, english, spanish) in [
        (
            TextKind::CalledOff,
            true,
            "Bitter Creek Youth ATV Safety: The session of Ana on Sat, June 13 at Alder Flat is called off. Please do \
             not come. https://ride.example.org/sessions/k7m2q9x4tr",
            "Bitter Creek Youth ATV Safety: Se cancela la sesion de Ana del sab. 13 jun. en Alder Flat. Por favor no \
             venga. https://ride.example.org/sessions/k7m2q9x4tr",
        ),
        (
            TextKind::Moved,
            true,
            "Bitter Creek Youth ATV Safety: The session of Ana is now on Sat, June 13, 8:30 AM, at Alder Flat. \
             https://ride.example.org/sessions/k7m2q9x4tr",
            "Bitter Creek Youth ATV Safety: La sesion de Ana es ahora el sab. 13 jun., 8:30 a. m., en Alder Flat. \
             https://ride.example.org/sessions/k7m2q9x4tr",
        ),
        (
            TextKind::Offered,
            false,
            "Bitter Creek Youth ATV Safety: A seat is free for Ana on Sat, June 13 at Alder Flat. Call (406) 555-0100 \
             by Thu, June 11, 9:00 PM. https://ride.example.org/sessions/k7m2q9x4tr",
            "Bitter Creek Youth ATV Safety: Hay un lugar libre para Ana el sab. 13 jun. en Alder Flat. Tiene hasta el jue. \
             11 jun., 9:00 p. m.: llame al (406) 555-0100. https://ride.example.org/sessions/k7m2q9x4tr",
        ),
        (
            TextKind::Reminder,
            true,
            "Bitter Creek Youth ATV Safety: Ana rides on Sat, June 13, 8:30 AM, at Alder Flat. What to bring: \
             https://ride.example.org/sessions/k7m2q9x4tr",
            "Bitter Creek Youth ATV Safety: Ana monta el sab. 13 jun., 8:30 a. m., en Alder Flat. Qué llevar: \
             https://ride.example.org/sessions/k7m2q9x4tr",
        ),
    ] {
        for (lang, expected) in [(Lang::En, english), (Lang::Es, spanish)] {
            let told = Told { children: vec!["Ana".into()], has_letters, ..told(kind, lang) };
            assert_eq!(compose(&told), expected);
        }
    }
    let both = compose(&told(TextKind::Offered, Lang::En));
    assert!(both.contains("Call (406) 555-0100 or use our e-mail by Thu, June 11, 9:00 PM."), "{both}");
}

/// The longest that are realistic: a program's whole name, two given names of a child, a site with its owner's name, a
/// long address of the program; and worse ones.
#[test]
fn family_7_every_text_in_both_languages_takes_two_segments_at_most_with_the_longest_names() {
    let programs =
        ["ATV", "Southwestern Montana Youth All-Terrain Vehicle Safety Program of the Three Rivers Counties"];
    let children: [&[&str]; 6] = [
        &["Zoë Marisol"],
        &["María de los Ángeles Guadalupe"],
        &["Nguyễn Phương Thảo"],
        &["Maximiliano Alejandro", "María Fernanda", "José Ángel", "Íñigo"],
        &["Ana", "Ben", "Chloé"],
        &["Łukasz"],
    ];
    let sites = ["Alder Flat", "Sheriff’s Posse Fairgrounds and Riding Area at Cañón del Río Peñasco – North Gate"];
    let addresses = ["https://ride.example.org", "https://courses.southwestern-montana-youth-safety.example.org"];
    let mut counted = 0;
    for (kind, lang) in TextKind::ALL.iter().flat_map(|kind| Lang::ALL.iter().map(move |lang| (*kind, *lang))) {
        for program in programs {
            for children in children {
                for site in sites {
                    for (address, has_letters) in addresses.iter().flat_map(|one| [(one, true), (one, false)]) {
                        let told = Told {
                            program: program.into(),
                            children: children.iter().map(|name| (*name).to_owned()).collect(),
                            site: site.into(),
                            has_letters,
                            href: format!("{address}/sessions/k7m2q9x4trb3"),
                            // The longest weekday, month and day in both languages.
                            day: NaiveDate::from_ymd_opt(2026, 9, 23).unwrap(),
                            until: NaiveDate::from_ymd_opt(2026, 9, 16).and_then(|day| day.and_hms_opt(22, 45, 0)),
                            ..told(kind, lang)
                        };
                        let text = compose(&told);
                        assert!(segments(&text) <= MOST, "{} segments: {text}", segments(&text));
                        assert!(text.ends_with(&told.href), "{text}");
                        counted += 1;
                    }
                }
            }
        }
    }
    assert_eq!(counted, 4 * 2 * 2 * 6 * 2 * 4);
}

#[test]
fn family_7_marks_stay_on_letters_where_there_is_room() {
    let short = Told {
        program: "ATV Helena".into(),
        href: "https://a.example/sessions/k7m2q9x4tr".into(),
        ..told(TextKind::Moved, Lang::Es)
    };
    let text = compose(&short);
    assert!(text.contains("La sesión de Zoë Marisol es ahora el sáb. 13 jun."), "{text}");
    assert!(segments(&text) <= MOST);
    let long = Told { program: "Southwestern Montana Youth ATV".into(), ..short };
    assert!(compose(&long).contains("La sesion de Zoe Marisol es ahora el sab. 13 jun."), "{}", compose(&long));
}

#[test]
fn family_7_more_children_than_fit_are_counted() {
    let of = |names: &[&str]| {
        let children = names.iter().map(|name| (*name).to_owned()).collect();
        compose(&Told { children, ..told(TextKind::CalledOff, Lang::En) })
    };
    assert!(of(&["Ana", "Ben", "Zoe"]).contains("The session of Ana, Ben and Zoe on"));
    let many = of(&["Maximiliano Alejandro", "Maria Fernanda", "Jose Angel", "Inigo"]);
    assert!(many.contains("The session of Maximiliano Alejandro and 3 more on"), "{many}");
}
