//! Every address of the page stands in the table of `README.md`, and is open to whom that says.

use std::collections::{BTreeMap, BTreeSet};

use regex::Regex;

use super::client::{Client, networked};

/// What the router serves, as it stands in the source.
fn served() -> BTreeSet<String> {
    let source = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/src/fronts/web/mod.rs")).unwrap();
    let route = Regex::new(r#"\(\s*"(/[^"]*)",\s*(?:get|post)\("#).unwrap();
    let served: BTreeSet<String> = route.captures_iter(&source).map(|found| found[1].to_owned()).collect();
    let handlers = Regex::new(r"\b(?:get|post)\([a-z_]+::[a-z_]+\)").unwrap().find_iter(&source).count();
    // Some take a GET and a POST.
    assert!(served.len() > 30 && handlers >= served.len() && handlers < served.len() + 6, "{handlers}: {served:?}");
    served
}

/// The table: each address, and whether anyone may open it.
fn told() -> BTreeMap<String, bool> {
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/door/README.md")).unwrap();
    let mut told = BTreeMap::new();
    for row in readme.lines().filter(|line| line.starts_with("| `/")) {
        let cells: Vec<&str> = row.split('|').map(str::trim).collect();
        let anyone = match cells[2] {
            "anyone" => true,
            "known" => false,
            other => panic!("{row}: to whom? {other}"),
        };
        for address in cells[1].split('`').filter(|part| part.starts_with('/')) {
            assert!(told.insert(address.to_owned(), anyone).is_none(), "{address} stands there twice");
        }
    }
    told
}

#[tokio::test]
async fn every_address_is_in_the_table_and_open_to_whom_it_says() {
    let told = told();
    let named: BTreeSet<String> = told.keys().cloned().collect();
    assert_eq!(served(), named, "the router beside tests/door/README.md");
    let shop = networked().await;
    let client = Client::of(&shop);
    let origin = format!("https://{}", shop.address);
    let hole = Regex::new(r"\{[a-z]+\}").unwrap();
    for (address, anyone) in told {
        let path = hole.replace_all(&address, "1").into_owned();
        for (method, body) in [("GET", ""), ("POST", "a=b")] {
            let answer = client.ask(method, &path, &[("Origin", &origin)], body).await;
            let to_the_door = answer.header("location").is_some_and(|to| to.starts_with("/door"));
            match answer.status {
                405 => {}
                401 => assert!(!anyone, "{method} {path}"),
                303 if to_the_door => assert!(!anyone, "{method} {path}"),
                // The way in is found wrong, or what has no such name is not there.
                status => assert!(anyone, "{method} {path} is answered {status} to a stranger"),
            }
        }
    }
}
