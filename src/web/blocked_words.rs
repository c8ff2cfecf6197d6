//! Why not everybody can have a machine or a helmet at once, in one sentence.

use crate::services::roster::assignment::Blocked;

/// The sentence. `what` is a machine or a helmet.
#[must_use]
pub fn blocked(blocked: &Blocked, what: &str) -> String {
    let (riders, there) = (list(&blocked.riders), list(&blocked.machines));
    match (blocked.riders.len(), blocked.machines.is_empty()) {
        (1, _) => format!("No {what} here suits {riders}."),
        (_, true) => format!("There is no {what} for {riders}."),
        (many, false) => format!("{riders} are {many}, and can only have {there}."),
    }
}

/// "Ana, Ben and Cleo".
#[must_use]
pub fn list(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(names: &[&str]) -> Vec<String> {
        names.iter().map(|name| (*name).to_owned()).collect()
    }

    #[test]
    fn day_3_names_are_listed_and_a_group_is_told_as_people_say_it() {
        for (said, words) in
            [(&[][..], ""), (&["Ana"], "Ana"), (&["Ana", "Ben"], "Ana and Ben"), (&["A", "B", "C"], "A, B and C")]
        {
            assert_eq!(list(&names(said)), words);
        }
        let told = |riders, machines| blocked(&Blocked { riders: names(riders), machines: names(machines) }, "machine");
        assert_eq!(told(&["Ana"], &[]), "No machine here suits Ana.");
        assert_eq!(told(&["Ana", "Ben"], &[]), "There is no machine for Ana and Ben.");
        assert_eq!(told(&["Ana", "Ben", "Cleo"], &["4", "7"]), "Ana, Ben and Cleo are 3, and can only have 4 and 7.");
    }
}
