//! What holds for any client: reading gives back what was written.

use matside::client::Client;
use matside::store::Severity;
use proptest::prelude::*;

use super::any::{client, profile, session};
use super::sample::{Studio, id, who};

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(
        std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(40)) })]

    #[test]
    fn what_is_written_reads_back(client in client(), wanted in profile(), more in session()) {
        let studio = Studio::new();
        studio.store.create_client(&client).expect("creates");
        prop_assert_eq!(studio.store.load(&id("rosa")).expect("loads"), client.clone());
        studio.store.save_profile(&wanted, &who()).expect("saves");
        let loaded = studio.store.load(&id("rosa")).expect("loads");
        // What was written over is added to what was before.
        prop_assert!(client.changes.iter().all(|change| loaded.changes.contains(change)));
        let mut expected = Client { profile: wanted, changes: loaded.changes.clone(), ..client };
        prop_assert_eq!(loaded, expected.clone());
        if expected.sessions.iter().all(|session| session.at != more.at) {
            studio.store.begin(&id("rosa"), &more).expect("begins");
            expected.sessions.push(more);
            expected.sessions.sort_by_key(|session| session.at);
            prop_assert_eq!(studio.store.load(&id("rosa")).expect("loads"), expected.clone());
        }
        let roster = studio.store.roster().expect("lists");
        prop_assert_eq!(roster.entries[0].last, expected.sessions.last().map(|session| session.at));
        // Whatever can be said can be read; that it is sensible is another matter.
        let found = studio.store.check(who().at).expect("checks");
        prop_assert!(found.iter().all(|found| found.severity == Severity::Warning), "{found:?}");
    }
}
