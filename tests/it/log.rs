//! The log of the real program in use: it says what happened, and holds nothing that a person typed.

use serde_json::Value;

use crate::house::program::Installed;

const PASSWORD: &str = "canary01 under the larches";

#[test]
fn house_1_the_log_names_each_request_and_holds_no_address_query_form_password_or_cookie() {
    let installed = Installed::seeded();
    let file = installed.folder.join("one.password");
    std::fs::write(&file, PASSWORD).expect("a file");
    std::fs::set_permissions(&file, std::os::unix::fs::PermissionsExt::from_mode(0o600)).expect("a mode");
    let (code, _, fault) = installed.run(&[
        "staff",
        "add",
        "--email",
        "canary02@example.org",
        "--given",
        "Canary03",
        "--family",
        "Canary04",
        "--phone",
        "+1 406 555 0105",
        "--role",
        "coordinator",
        "--password-file",
        file.to_str().expect("a path"),
    ]);
    assert_eq!(code, Some(0), "{fault}");
    assert!(!fault.to_lowercase().contains("canary"), "{fault}");

    let running = installed.serve();
    let browser = running.stranger().with_cookie("theme=canary06");
    browser.get("/sign-in?next=/season&from=canary07").must_be(200);
    let wrong = [("email", "canary08@example.org"), ("password", "canary09 is a wrong one")];
    browser.submit("/sign-in", "/sign-in", &wrong).must_be(422);
    let right = [("email", "canary02@example.org"), ("password", PASSWORD), ("next", "/season?canary10=1")];
    browser.submit("/sign-in", "/sign-in", &right).must_be(303);
    let token = browser.cookie("waymark_sign_in").or_else(|| browser.cookie("__Host-waymark_sign_in"));
    browser.get("/sign-in/second-step").must_be(200);
    browser.get("/nowhere/canary11?token=canary12").must_be(404);
    browser.send("GET", "/sessions/canary13", &[("user-agent", "canary14"), ("referer", "http://canary15/")], "");
    let forged = running.stranger();
    let refused = forged.send("POST", "/sign-in", &[("sec-fetch-site", "cross-site")], "email=canary16%40example.org");
    assert!((400..500).contains(&refused.status), "{}", refused.status);
    let odd = forged.send("CANARY17", "/", &[], "");
    assert!(odd.status >= 400, "{}", odd.status);

    let (ended, log) = running.stop();
    assert_eq!(ended.code(), Some(0));
    let whole = log.join("\n").to_lowercase();
    for canary in ["canary", "4065550105", "555-0105"] {
        assert!(!whole.contains(canary), "{canary} is in the log:\n{whole}");
    }
    if let Some(token) = token {
        assert!(!whole.contains(&token.to_lowercase()), "the sign-in's token is in the log");
    }
    let lines: Vec<Value> = log.iter().map(|line| serde_json::from_str(line).expect("each line is JSON")).collect();
    let answered: Vec<&Value> = lines.iter().filter(|line| line["message"] == "answered").collect();
    assert!(answered.len() >= 8, "{whole}");
    for line in &answered {
        let id = line["span"]["request_id"].as_str().unwrap_or_default();
        assert_eq!(id.len(), 36, "no request id: {line}");
        assert!(line["timestamp"].as_str().is_some_and(|at| at.ends_with('Z')), "no time in UTC: {line}");
        assert!(line["span"]["route"].is_string() && line["status"].is_number(), "{line}");
    }
    for status in [200, 303, 404, 422] {
        assert!(answered.iter().any(|line| line["status"] == status), "no {status}: {whole}");
    }
}
