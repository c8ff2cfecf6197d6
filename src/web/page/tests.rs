//! The layout and the parts of forms, rendered as a page would.

use std::collections::BTreeSet;

use askama::Template;

use super::*;
use crate::web::error_page::ErrorPage;
use crate::web::form::FieldErrors;

/// One form with every part in it.
#[derive(Template)]
#[template(
    ext = "html",
    source = r##"{% extends "layout.html" %}
{% import "parts/form.html" as form %}
{% import "parts/state.html" as state %}
{% import "parts/notes.html" as notes %}
{% block content %}
<div class="row title-row">
  <div class="text stack">
    {% call form::back("/sessions", page.t("form-back")) %}{% endcall %}
    {% call form::summary(errors) %}{% endcall %}
    {% call form::step_line(2, steps) %}{% endcall %}
    <h1>{{ page.title }}</h1>
    <form class="form" method="post" novalidate>
      {% call form::token() %}{% endcall %}
      {% call form::text(errors, "given", "Given name", given, hint = "As on a school paper.") %}{% endcall %}
      {% call form::text(errors, "family", "Family name", "", optional = true) %}{% endcall %}
      {% call form::date(errors, "birth", "Birth date", "09", "21", "16") %}{% endcall %}
      {% call form::radios(errors, "ridden", "How much has this child ridden?", "few", options) %}{% endcall %}
      {% call form::checks(errors, "words", "Languages", chosen, options, hint = "Any number.") %}{% endcall %}
      {% call form::select(errors, "county", "County", "few", options, blank = "Choose") %}{% endcall %}
      {% call form::area(errors, "more", "Anything else", "a < b", optional = true) %}{% endcall %}
      {% call form::check(errors, "read", "I have read it", true) %}{% endcall %}
      {% call form::acts("Save Ana and go on", other = "Stop here", other_href = "/") %}{% endcall %}
    </form>
    <p>{% call state::fit("adapted") %}{% endcall %} {% call state::mark("stopped") %}{% endcall %}
      {% call state::state("free", "free", "4 seats free") %}{% endcall %}{% call notes::letter("a") %}{% endcall %}</p>
    {% call state::button("meets", "mark", "meets", "Meets", true) %}{% endcall %}
    {% call notes::caution("Thunder.", more = "Engines off.") %}{% endcall %}
  </div>
  <aside class="note-column" aria-label="{{ page.t("layout-notes") }}">
    {% call form::steps(2, steps) %}{% endcall %}
    {% call notes::note("a") %}<cite>Pediatrics</cite> 150(4){% endcall %}
  </aside>
</div>
{% endblock %}"##
)]
struct Specimen {
    page: Page,
    errors: FieldErrors,
    given: String,
    steps: Vec<String>,
    options: Vec<Choice>,
    chosen: Vec<String>,
}

pub(super) fn frame(lang: Lang) -> Frame {
    Frame {
        lang,
        path: "/riders/new?from=ana&lang=en".to_owned(),
        nav: vec![NavItem { label: "My riders".to_owned(), href: "/riders".to_owned(), current: true }],
        demo: true,
        form_token: "token-of-the-test".to_owned(),
        signed_in: Some("Ingrid Lindqvist".to_owned()),
        idle_minutes: Some(60),
        program: ProgramFace {
            name: "Tamarack Ridge Youth Riding Program".to_owned(),
            phone: "(406) 555-0142".to_owned(),
            phone_href: "tel:+14065550142".to_owned(),
            email: "office@example.org".to_owned(),
            hours: "Weekdays 8 to 5".to_owned(),
        },
        cautions: None,
        scheme: Scheme::Sun,
        asset: |name| format!("/static/{name}?test"),
    }
}

fn specimen(lang: Lang, errors: &[(&str, &str)]) -> String {
    let mut told = FieldErrors::default();
    for (field, words) in errors {
        told.add(field, *words);
    }
    let page = Page::titled(&frame(lang), "Who is riding?").with_errors(told.len());
    let options = vec![Choice::new("few", "A few times"), Choice::new("often", "Often").with_hint("Each week")];
    let steps = ["Session", "Rider", "Check"].map(str::to_owned).to_vec();
    let filled =
        Specimen { page, errors: told, given: "Zoë".to_owned(), steps, options, chosen: vec!["often".to_owned()] };
    filled.render().expect("the specimen renders")
}

/// The values of one attribute, in the order of the page.
fn values<'a>(html: &'a str, attribute: &str) -> Vec<&'a str> {
    let opening = format!(" {attribute}=\"");
    html.split(opening.as_str()).skip(1).map(|rest| rest.split('"').next().expect("split gives one part")).collect()
}

const WRONG: [(&str, &str); 2] =
    [("birth_year", "Write all four digits"), ("ridden", "Choose how much this child has ridden")];

#[test]
fn u10_a_form_that_comes_back_names_its_errors_first_and_beside_their_fields() {
    let html = specimen(Lang::En, &WRONG);
    assert!(html.contains("<title>Error: Who is riding? · Tamarack Ridge Youth Riding Program</title>"));
    assert!(html.contains("Two answers need another look"));
    for (field, words) in WRONG {
        assert!(html.contains(&format!("<a href=\"#{field}\">{words}</a>")), "{field} is in the summary");
        assert!(html.contains(&format!("id=\"{field}-error\"")), "{field} has its words beside it");
    }
    assert!(html.contains("value=\"Zoë\""), "answers are kept");
    assert_eq!(values(&html, "aria-invalid").len(), 1, "only the year is marked; radios are told by their group");
}

#[test]
fn u01_every_id_stands_once_and_every_tie_leads_to_one() {
    for errors in [&WRONG[..], &[]] {
        let html = specimen(Lang::En, errors);
        let ids = values(&html, "id");
        let known: BTreeSet<_> = ids.iter().copied().collect();
        assert_eq!(ids.len(), known.len(), "an id stands twice in {ids:?}");
        for tie in ["for", "aria-describedby", "aria-labelledby"] {
            for target in values(&html, tie).into_iter().flat_map(str::split_whitespace) {
                assert!(known.contains(target), "{tie} leads to `{target}`, which is not there");
            }
        }
        for target in values(&html, "href").into_iter().filter_map(|href| href.strip_prefix('#')) {
            assert!(known.contains(target), "a link leads to `#{target}`, which is not there");
        }
    }
}

#[test]
fn u01_each_field_that_a_person_fills_has_a_label() {
    let html = specimen(Lang::Es, &[]);
    let labelled: BTreeSet<_> = values(&html, "for").into_iter().collect();
    let fields = html.split('<').filter(|tag| {
        (tag.starts_with("input") || tag.starts_with("select") || tag.starts_with("textarea"))
            && !tag.contains("type=\"hidden\"")
    });
    let mut seen = 0;
    for field in fields {
        let opened = format!("<{field}");
        let id = values(&opened, "id").first().copied().expect("a field has an id");
        assert!(labelled.contains(id), "`{id}` has no label");
        seen += 1;
    }
    assert_eq!(seen, 12);
}

#[test]
fn u01_the_frame_has_one_h1_its_language_help_and_no_inline_style_or_script() {
    for (lang, code, other) in [(Lang::En, "en", "es"), (Lang::Es, "es", "en")] {
        let html = specimen(lang, &[]);
        assert_eq!(html.matches("<h1").count(), 1);
        assert!(html.contains(&format!("<html lang=\"{code}\" data-scheme=\"sun\">")));
        assert!(html.contains(&format!("href=\"/riders/new?from=ana&#38;lang={other}\"")), "the other language");
        assert!(html.contains("tel:+14065550142") && html.contains("mailto:office@example.org"));
        assert!(html.contains("action=\"/sign-out\""));
        assert!(!html.contains(" style=") && !html.contains("<style"));
        assert_eq!(html.matches("<script").count(), html.matches("<script type=\"module\" src=\"/static/").count());
        assert_eq!(values(&html, "value").iter().filter(|value| **value == "token-of-the-test").count(), 2);
    }
}

#[test]
fn u22_a_field_page_keeps_its_head_to_one_row_and_signs_out_at_its_foot() {
    let page = Page::titled(&frame(Lang::En), "Roster").for_field();
    let options = vec![Choice::new("few", "A few times")];
    let filled = Specimen {
        page,
        errors: FieldErrors::default(),
        given: String::new(),
        steps: Vec::new(),
        options,
        chosen: Vec::new(),
    };
    let html = filled.render().expect("the field page renders");
    let (head, rest) = html.split_once("</header>").expect("a page has a head");
    assert!(head.contains("css/field.css") && head.contains("<body class=\"field-page\">"));
    assert!(!head.contains("/sign-out") && rest.matches("action=\"/sign-out\"").count() == 1);
}

#[test]
fn u40_each_kind_of_failure_has_a_page_in_both_languages() {
    for lang in [Lang::En, Lang::Es] {
        for status in [400, 403, 404, 405, 409, 413, 418, 422, 429, 500, 503] {
            let html = ErrorPage::new(&frame(lang), status, "R-4821").render().expect("the error page renders");
            assert_eq!(html.matches("<h1").count(), 1, "{status}");
            assert!(html.contains("R-4821") && html.contains(&status.to_string()), "{status}");
        }
    }
}

#[test]
fn house_2_the_two_dark_palettes_of_the_style_sheet_are_one() {
    let css = include_str!("../../../templates/static/css/base.css");
    let palette = |selector: &str| {
        let from = css.find(selector).unwrap_or_else(|| panic!("`{selector}` is in base.css"));
        let body = css[from..].split_once('{').expect("a rule opens").1.split_once('}').expect("a rule closes").0;
        body.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert_eq!(
        palette(":root:not([data-scheme=\"light\"], [data-scheme=\"sun\"])"),
        palette(":root[data-scheme=\"dark\"]")
    );
}
