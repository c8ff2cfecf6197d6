//! Closing a session and what becomes of it: certificates, their paper, their letters, and the page where anybody may
//! check one.

use std::collections::BTreeSet;
use std::process::Command;

use waymark::domain::access::Guardianship;
use waymark::domain::acts::{Body, Taking};
use waymark::domain::certificate::{CODE_BITS, CertificateCode, CertificateState};
use waymark::domain::curriculum::CheckCode;
use waymark::domain::skill::Mark;
use waymark::domain::words::Lang;
use waymark::jobs::Deliver;
use waymark::jobs::letters::KINDS;
use waymark::outside::post::Post;
use waymark::services::certificates;
use waymark::store::families::add_guardianship;

use crate::bad_input::POLYGLOT;
use crate::house::app::{TestApp, saturday, story_begins};
use crate::house::browser::Browser;
use crate::house::letters::all_due;
use crate::house::people::Member;
use crate::house::saturday::{HeldSession, Seat, afternoon};

const HOME: &str = "30049";

fn house() -> (TestApp, Member) {
    let house = TestApp::start();
    house.app.clock.set(afternoon(saturday()));
    let lead = house.add_instructor();
    (house, lead)
}

/// A rider of ten with a guardian of the same family name.
fn seat(house: &TestApp, session: &HeldSession<'_>, given: &str, family: &str) -> Seat {
    let email = format!("g{}@example.org", house.app.random.reference());
    let guardian = house.add_guardian(&email, "Inés", family);
    let rider = house.add_child(guardian, (given, family), (2015, 9, 21), HOME);
    session.seat(rider, guardian, Lang::En)
}

/// The codes on a closing page, in its order.
fn codes(page: &str) -> Vec<String> {
    let ends = page.split("href=\"/c/").skip(1);
    ends.map(|rest| rest.split('"').next().expect("an address ends").to_owned()).collect()
}

fn close(lead: &Browser, session: &HeldSession<'_>) -> Vec<String> {
    let closed = lead.submit(&session.closing(), &session.closing(), &[]);
    codes(&lead.follow(&closed).must_be(200).must_say("Session closed").body)
}

#[test]
fn house_3_a_session_with_a_child_on_the_site_does_not_close_and_names_the_child() {
    let (house, lead) = house();
    let session = house.add_held_session(lead, HOME, saturday());
    let (here, gone) = (seat(&house, &session, "Zoë", "Okafor"), seat(&house, &session, "Łukasz", "Brandt"));
    session.came(&here);
    session.completed(&gone);
    let rafael = house.signed_in("rafael@example.org");
    let page = rafael.get(&session.closing());
    page.must_be(200).must_say("Not all children are checked out").must_say("Zoë Okafor");
    assert!(!page.says("Close session and give certificates"));
    let refused = rafael.submit(&session.closing(), &session.closing(), &[]);
    refused.must_be(422).must_say("The session cannot close. These children are not checked out: Zoë Okafor.");
    assert!(codes(&rafael.get(&session.closing()).body).is_empty(), "nothing was given");
    session.went_home(&here);
    assert_eq!(close(&rafael, &session).len(), 1);
    rafael.submit(&session.closing(), &session.closing(), &[]).must_be(409).must_say("closed already");
}

#[test]
fn house_3_closing_says_who_completed_by_the_latest_attempt_and_why_others_did_not() {
    let (house, lead) = house();
    let session = house.add_held_session(lead, HOME, saturday());
    let [later, worse, early, absent] =
        ["Ana", "Bo", "Cleo", "Dara"].map(|given| seat(&house, &session, given, "Lindqvist"));
    let check = CheckCode::parse("6.1").expect("a check of the seeded curriculum");
    let again = |mark| Body::Mark { check, mark, reason: None, clears: None };
    for rider in [&later, &worse, &early] {
        session.came(rider);
    }
    session.met_all_but(&later, &["6.1"]);
    session.act(&later, again(Mark::Meets));
    session.met_all_but(&worse, &[]);
    session.act(&worse, again(Mark::NeedsPractice));
    session.met_all_but(&early, &[]);
    let outcome = waymark::domain::registration::Outcome::LeftEarly;
    session.act(&early, Body::Outcome { outcome, why: None });
    for rider in [&later, &worse, &early] {
        session.went_home(rider);
    }
    let rafael = house.signed_in("rafael@example.org");
    let page = rafael.get(&session.closing());
    page.must_say("1 completed the course. 2 took part and did not complete it yet. 1 did not come.");
    page.must_say("No phone holds entries of this session").must_say("Web form Rafael Tso");
    assert_eq!(close(&rafael, &session).len(), 1);
    let closed = rafael.get(&session.closing());
    closed.must_say("Bo Lindqvist Attended. 1 required skill is not met yet.").must_say("needs practice");
    closed.must_say("Cleo Lindqvist Left early.");
    closed.must_say("Dara Lindqvist Absent.");
    drop(absent);
}

#[test]
fn house_3_the_paper_is_frozen_the_same_bytes_twice_and_only_for_the_family_the_lead_and_the_office() {
    let (house, lead) = house();
    let session = house.add_held_session(lead, HOME, saturday());
    let inez = house.add_guardian("inez@example.org", "Inés", "Okafor");
    let ex = house.add_guardian("ex@example.org", "Max", "Okafor");
    house.add_guardian("other@example.org", "Olga", "Brandt");
    let rider = house.add_child(inez, ("Zoë Marisol", "Okafor-Lindqvist"), (2015, 9, 21), HOME);
    let tie = move |conn: &mut _| add_guardianship(conn, ex, rider, Guardianship::Restricted, story_begins());
    house.app.store.write("tie", tie).expect("a tie");
    let zoe = session.seat(rider, inez, Lang::Es);
    session.completed(&zoe);
    house.add_coordinator();
    house.add_member("dana@example.org", "Dana", "Quill", &[waymark::domain::access::Role::Instructor]);
    let given = close(&house.signed_in("rafael@example.org"), &session);
    let path = format!("/certificates/{}/paper.pdf", given[0]);
    let first = house.signed_in("inez@example.org").get(&path);
    assert_eq!(
        (first.must_be(200).header("content-type"), &first.bytes[..5]),
        (Some("application/pdf"), &b"%PDF-"[..])
    );
    let disposition = format!("attachment; filename=\"certificate-{}.pdf\"", given[0]);
    assert_eq!(first.header("content-disposition"), Some(disposition.as_str()));
    assert_eq!(first.header("content-security-policy"), Some("sandbox; default-src 'none'"));
    for person in ["inez@example.org", "rafael@example.org", "priya@example.org"] {
        assert_eq!(house.signed_in(person).get(&path).must_be(200).bytes, first.bytes, "{person}");
    }
    let unknown = CertificateCode::from_bits(house.app.random.u128_bits(CODE_BITS));
    for person in ["other@example.org", "ex@example.org", "dana@example.org"] {
        let browser = house.signed_in(person);
        let (hidden, missing) = (browser.get(&path), browser.get(&format!("/certificates/{unknown}/paper.pdf")));
        assert_eq!(hidden.must_be(404).words(), missing.must_be(404).words(), "{person}");
    }
    let file = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{}.pdf", given[0]));
    std::fs::write(&file, &first.bytes).expect("a file");
    let read = Command::new("pdftotext").arg("-layout").arg(&file).arg("-").output().expect("poppler is installed");
    let read = String::from_utf8_lossy(&read.stdout).split_whitespace().collect::<Vec<_>>().join(" ");
    for words in ["Zoë Marisol Okafor-Lindqvist", "Certificado de finalización", "13 de junio de 2026", "Rafael Tso"]
    {
        assert!(read.contains(words), "{words} is not in {read}");
    }
}

#[test]
fn house_3_a_name_that_cannot_be_set_holds_nobody_up() {
    let (house, lead) = house();
    let session = house.add_held_session(lead, HOME, saturday());
    let (han, ana) = (seat(&house, &session, "漢", "Li"), seat(&house, &session, "Ana", "Beltran"));
    session.completed(&han);
    session.completed(&ana);
    let rafael = house.signed_in("rafael@example.org");
    let given = close(&rafael, &session);
    assert_eq!(given.len(), 2);
    let page = rafael.get(&session.closing());
    page.must_say("A certificate has no paper.").must_say("No paper: a letter of the name is missing");
    let papers: Vec<u16> =
        given.iter().map(|code| rafael.get(&format!("/certificates/{code}/paper.pdf")).status).collect();
    assert_eq!(papers.iter().filter(|status| **status == 200).count(), 1, "{papers:?}");
    assert_eq!(papers.iter().filter(|status| **status == 422).count(), 1, "{papers:?}");
    house.stranger().get(&format!("/c/{}", given[1])).must_be(200).must_say("Valid");
}

#[test]
fn s32_the_check_page_shows_state_course_day_and_initials_and_no_name() {
    let (house, lead) = house();
    let session = house.add_held_session(lead, HOME, saturday());
    let zoe = seat(&house, &session, "Zoë", "Okafor");
    session.completed(&zoe);
    house.add_coordinator();
    let code = close(&house.signed_in("rafael@example.org"), &session).remove(0);
    let page = format!("/c/{code}");
    let stranger = house.stranger();
    let valid = stranger.get(&page);
    valid.must_be(200).must_say("Valid This certificate was given by this program and counts today.");
    valid.must_say("Z. O.").must_say("June 13, 2026").must_say("Youth ATV riding course, ages 10 to 15");
    for secret in ["Zoë", "Okafor", "Rafael", "Alder Flat", "2015", &zoe.reference, &session.reference] {
        assert!(!valid.body.contains(secret), "{secret} is on the page");
    }
    house.stranger().speaking("es").get(&page).must_say("Válido Este programa dio este certificado");
    let shown = CertificateCode::parse(&code).expect("a code").grouped().to_lowercase().replace('-', " ");
    let typed = stranger.submit("/certificates", "/certificates", &[("code", &format!("  {shown}"))]);
    assert_eq!(typed.location(), page);

    let priya = house.signed_in("priya@example.org");
    assert!(!valid.says("Revoke certificate"));
    priya.get(&page).must_say("Revoke certificate");
    let revoke = format!("/certificates/{code}/revoke");
    priya.submit(&page, &revoke, &[("reason", " ")]).must_be(422).must_say("Write why it is taken back");
    let revoked = priya.submit(&page, &revoke, &[("reason", "Mixed up with a brother")]);
    assert_eq!(revoked.location(), page);
    let after = stranger.get(&page);
    after.must_say("Revoked This certificate was taken back.");
    assert!(!after.says("Mixed up") && !after.says("counts today"));
    priya.submit(&page, &revoke, &[("reason", "again")]).must_be(409).must_say("revoked already");
}

#[test]
fn s32_unknown_and_altered_numbers_are_told_kindly() {
    let (house, lead) = house();
    let session = house.add_held_session(lead, HOME, saturday());
    session.completed(&seat(&house, &session, "Zoë", "Okafor"));
    let code = close(&house.signed_in("rafael@example.org"), &session).remove(0);
    let stranger = house.stranger();
    for place in 0..code.len() {
        let mut altered = code.clone().into_bytes();
        altered[place] = if altered[place] == b'7' { b'8' } else { b'7' };
        let altered = String::from_utf8(altered).expect("letters and digits");
        let told = stranger.get(&format!("/c/{altered}"));
        told.must_be(422).must_say("There is a slip in this number");
        assert_eq!(told.field("code"), Some(altered));
    }
    let unknown = CertificateCode::from_bits(house.app.random.u128_bits(CODE_BITS));
    stranger.get(&format!("/c/{unknown}")).must_be(200).must_say("This program gave no certificate with this number.");
    let typed = |code: &str| stranger.submit("/certificates", "/certificates", &[("code", code)]);
    typed("").must_be(422).must_say("22 letters and digits");
    typed("7K4M-92QX").must_be(422).must_say("22 letters and digits");
    typed("7K4M-92QX*").must_be(422).must_say("in no certificate number");
}

#[test]
fn s32_ten_thousand_guessed_numbers_hit_nothing_and_the_limit_says_429() {
    let changed = [("WAYMARK_RATES_CERTIFICATE_CHECK_PER_MINUTE", "6"), ("WAYMARK_RATES_CERTIFICATE_CHECK_BURST", "6")];
    let house = TestApp::with(&changed);
    house.app.clock.set(afternoon(saturday()));
    let lead = house.add_instructor();
    let session = house.add_held_session(lead, HOME, saturday());
    for given in ["Ana", "Bo", "Cleo"] {
        session.completed(&seat(&house, &session, given, "Lindqvist"));
    }
    let known: BTreeSet<String> = close(&house.signed_in("rafael@example.org"), &session).into_iter().collect();
    assert_eq!(known.len(), 3);
    let nobody = waymark::domain::access::Caller::anonymous();
    let mut seen = BTreeSet::new();
    for _ in 0..10_000 {
        let code = CertificateCode::from_bits(house.app.random.u128_bits(CODE_BITS));
        let checked = certificates::check(&house.app, &nobody, code, Lang::En).expect("an answer");
        assert_eq!((checked.state, checked.told), (CertificateState::Unknown, None), "{code}");
        seen.insert(code);
    }
    assert_eq!(seen.len(), 10_000, "no code was drawn twice");
    let stranger = house.stranger();
    let guess = || CertificateCode::from_bits(house.app.random.u128_bits(CODE_BITS));
    let answers: Vec<u16> = (0..12).map(|_| stranger.get(&format!("/c/{}", guess())).status).collect();
    assert_eq!(answers[..6], [200; 6], "{answers:?}");
    assert!(answers[6..].iter().filter(|status| **status == 429).count() >= 5, "{answers:?}");
}

#[test]
fn house_3_reopening_takes_late_acts_and_closing_again_gives_no_second_certificate() {
    let (house, lead) = house();
    let session = house.add_held_session(lead, HOME, saturday());
    let [ana, bo] = ["Ana", "Bo"].map(|given| seat(&house, &session, given, "Lindqvist"));
    session.completed(&ana);
    session.came(&bo);
    session.met_all_but(&bo, &["6.1"]);
    session.went_home(&bo);
    house.add_coordinator();
    let (rafael, priya) = (house.signed_in("rafael@example.org"), house.signed_in("priya@example.org"));
    let first = close(&rafael, &session);
    let check = CheckCode::parse("6.1").expect("a check");
    let mark = |mark| Body::Mark { check, mark, reason: None, clears: None };
    session.act_taken(&bo, mark(Mark::Meets), Taking::Late);
    assert_eq!(close_again_without_reopening(&rafael, &session), 409);
    priya.get(&session.closing()).must_say("1 entry came after closing");
    let reopen = format!("/season/{}/reopen", session.reference);
    rafael.submit(&session.closing(), &reopen, &[]).must_be(403);
    assert_eq!(priya.submit(&session.closing(), &reopen, &[]).status, 303);
    priya.submit(&session.closing(), &reopen, &[]).must_be(409).must_say("not closed");
    let check_page = |code: &String| house.stranger().get(&format!("/c/{code}"));
    let waiting = check_page(&first[0]);
    waiting.must_say("Not yet confirmed");
    assert!(!waiting.says("A. L."), "an unconfirmed one tells nothing");
    let second = close(&rafael, &session);
    assert_eq!((first.len(), second.len(), &second[0]), (1, 2, &first[0]), "Ana keeps hers, Bo gets one");
    check_page(&second[1]).must_say("Valid").must_say("B. L.");

    assert_eq!(priya.submit(&session.closing(), &reopen, &[]).status, 303);
    session.act(&ana, mark(Mark::StoppedForSafety));
    let third = close(&rafael, &session);
    assert_eq!(third, second, "the page still names both");
    check_page(&first[0]).must_say("Revoked");
    check_page(&second[1]).must_say("Valid");
}

fn close_again_without_reopening(lead: &Browser, session: &HeldSession<'_>) -> u16 {
    lead.submit(&session.closing(), &session.closing(), &[]).status
}

#[test]
fn house_3_a_certificate_a_person_took_back_is_not_given_anew_by_closing() {
    let (house, lead) = house();
    let session = house.add_held_session(lead, HOME, saturday());
    session.completed(&seat(&house, &session, "Ana", "Lindqvist"));
    house.add_coordinator();
    let (rafael, priya) = (house.signed_in("rafael@example.org"), house.signed_in("priya@example.org"));
    let given = close(&rafael, &session);
    let page = format!("/c/{}", given[0]);
    priya.submit(&page, &format!("/certificates/{}/revoke", given[0]), &[("reason", "Wrong child")]).location();
    priya.submit(&session.closing(), &format!("/season/{}/reopen", session.reference), &[]).location();
    assert_eq!(close(&rafael, &session), given);
    house.stranger().get(&page).must_say("Revoked");
}

#[test]
fn s27_another_instructor_does_not_learn_of_the_session_and_a_colleague_may_not_close_it() {
    let (house, lead) = house();
    let session = house.add_held_session(lead, HOME, saturday());
    house.add_member("dana@example.org", "Dana", "Quill", &[waymark::domain::access::Role::Instructor]);
    let dana = house.signed_in("dana@example.org");
    dana.get(&session.closing()).must_be(404);
    dana.submit("/sign-ins", &session.closing(), &[]).must_be(404);
    house.app.clock.set(afternoon(saturday()) + chrono::TimeDelta::days(15));
    house.signed_in("rafael@example.org").get(&session.closing()).must_be(404);
}

/// Sends what the outbox owes into files.
fn post(house: &TestApp) -> Vec<String> {
    let post = Post::by_setting(&house.app.settings.mail.way).expect("a folder");
    let deliver = Deliver::new(house.app.clone(), post, KINDS).expect("a sender");
    actix_web::rt::System::new().block_on(all_due(&deliver));
    let mut letters: Vec<String> = std::fs::read_dir(house.mail())
        .expect("letters")
        .map(|entry| std::fs::read_to_string(entry.expect("a letter").path()).expect("a letter"))
        .collect();
    letters.sort();
    letters
}

#[test]
fn house_3_letters_bring_the_paper_to_those_who_completed_and_a_kind_sheet_to_the_others() {
    let (house, lead) = house();
    let session = house.add_held_session(lead, HOME, saturday());
    let [ana, bo, cleo] = [("Ana", Lang::En), ("Bo", Lang::Es), ("Cleo", Lang::En)].map(|(given, lang)| {
        let guardian = house.add_guardian(&format!("{given}@example.org").to_lowercase(), "Inés", "Lindqvist");
        let rider = house.add_child(guardian, (given, "Lindqvist"), (2015, 9, 21), HOME);
        session.seat(rider, guardian, lang)
    });
    session.completed(&ana);
    session.came(&bo);
    session.met_all_but(&bo, &["6.1"]);
    session.went_home(&bo);
    drop(cleo);
    let code = close(&house.signed_in("rafael@example.org"), &session).remove(0);
    let letters = post(&house);
    assert_eq!(letters.len(), 2, "nobody writes to those who did not come");
    let to = |address: &str| {
        let found = letters.iter().find(|letter| letter.contains(address));
        found.unwrap_or_else(|| panic!("no letter to {address}"))
    };
    let certificate = to("ana@example.org");
    assert!(certificate.contains("Subject: Ana completed the course"), "{certificate}");
    assert!(certificate.contains(&format!("certificate-{code}.pdf")) && certificate.contains("application/pdf"));
    let heads = certificate.split("application/pdf").next().expect("a part before the paper");
    assert!(!heads.contains("Ana Lindqvist"), "the child's first name only");
    let practice = to("bo@example.org");
    assert!(!practice.contains("application/pdf") && !practice.contains("Bo Lindqvist"));
    assert!(practice.contains("practicar"), "{practice}");
}

/// Letters as a mail reader of Python sees them: fields, addresses, the words of the plain part, the tags of the other.
const LETTER_READER: &str = r"
import sys, json, email, email.policy, html.parser
class Tags(html.parser.HTMLParser):
    def __init__(self):
        super().__init__(); self.seen = []
    def handle_starttag(self, tag, attrs):
        self.seen.append([tag] + [name for name, _ in attrs])
told = []
for text in json.load(sys.stdin):
    letter = email.message_from_string(text, policy=email.policy.default)
    tags = Tags(); tags.feed(letter.get_body(('html',)).get_content())
    told.append({'fields': sorted({name for name, _ in letter.items()}), 'to': [a.addr_spec for a in letter['to'].addresses],
        'plain': letter.get_body(('plain',)).get_content(), 'tags': tags.seen,
        'files': [part.get_filename() for part in letter.iter_attachments()]})
print(json.dumps(told))
";

#[test]
fn s37_a_name_that_is_a_program_stays_a_name_in_letters_and_on_paper() {
    let (house, lead) = house();
    let session = house.add_held_session(lead, HOME, saturday());
    let [hostile, plain] = [POLYGLOT, "Ana"].map(|given| seat(&house, &session, given, "Lindqvist"));
    session.completed(&hostile);
    session.completed(&plain);
    let given = close(&house.signed_in("rafael@example.org"), &session);
    let letters = serde_json::to_vec(&post(&house)).expect("texts");
    let read = crate::exchange::read_by(LETTER_READER, &letters);
    let read = read.as_array().expect("letters");
    let (about, other): (Vec<_>, Vec<_>) =
        read.iter().partition(|letter| letter["plain"].as_str().is_some_and(|text| text.contains("onerror")));
    assert_eq!((about.len(), other.len()), (1, 1), "one letter of each child: {read:#?}");
    assert!(about[0]["plain"].as_str().is_some_and(|text| text.contains(POLYGLOT)), "{:#}", about[0]);
    for part in ["fields", "tags"] {
        assert_eq!(about[0][part], other[0][part], "the name adds nothing to the {part} of the letter");
    }
    assert_eq!(about[0]["to"].as_array().map(Vec::len), Some(1));
    for code in &given {
        let paper = house.signed_in("rafael@example.org").get(&format!("/certificates/{code}/paper.pdf"));
        let file = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("s37-{code}.pdf"));
        std::fs::write(&file, &paper.must_be(200).bytes).expect("a file");
        let open = Command::new("qpdf").args(["--qdf", "--object-streams=disable"]).arg(&file).arg("-").output();
        let open = String::from_utf8_lossy(&open.expect("qpdf is installed").stdout).into_owned();
        assert!(open.contains("/FontFile2"), "qpdf opened it");
        for acts in ["/JavaScript", "/JS", "/OpenAction", "/AA", "/Launch", "/EmbeddedFile"] {
            assert!(!open.contains(&format!("{acts} ")), "{acts} stands in the paper of {code}");
        }
        let links: Vec<&str> = open.lines().filter(|line| line.contains("/URI (")).collect();
        assert!(links.len() == 1 && links[0].contains(&format!("/c/{code})")), "{links:?}");
    }
    let words = |code: &String| {
        let file = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("s37-{code}.pdf"));
        let read = Command::new("pdftotext").arg("-raw").arg(&file).arg("-").output().expect("poppler is installed");
        String::from_utf8_lossy(&read.stdout).split_whitespace().collect::<String>()
    };
    let written = POLYGLOT.split_whitespace().collect::<String>();
    assert_eq!(given.iter().filter(|code| words(code).contains(&written)).count(), 1, "the name is on its paper");
}
