//! The commands on the platform: made from the desk's own, within its limits, and sent only when they differ.

use std::time::Duration;

use gudgeon::desk::MOST_A_READING;
use gudgeon::desk::form::Kind;
use serde_json::Value;

use super::events::APPLICATION;
use super::gateway::Order;
use super::server::Server;
use super::shop::Shop;

const PAUSE: Duration = Duration::from_millis(300);

#[test]
fn the_commands_are_the_desks_own_and_within_the_limits() {
    let shop = Shop::open();
    let put = shop.server.call("PUT", "/commands");
    assert_eq!(put.path, format!("/applications/{APPLICATION}/guilds/400/commands"));
    let sent = put.body.as_array().unwrap().clone();
    for form in shop.desk.forms() {
        let command = sent.iter().find(|c| c["name"] == form.family).expect("its family is there");
        let options = match &form.verb {
            None => command["options"].as_array().unwrap().clone(),
            Some(verb) => {
                let verbs = command["options"].as_array().unwrap();
                let verb = verbs.iter().find(|v| v["name"] == *verb).expect("its verb is there");
                verb["options"].as_array().cloned().unwrap_or_default()
            }
        };
        let (files, values): (Vec<&Value>, Vec<&Value>) = options.iter().partition(|option| option["type"] == 11);
        assert_eq!(values.len(), form.fields.len(), "{}", form.words());
        assert_eq!(files.len(), if form.photos { MOST_A_READING } else { 0 }, "{}", form.words());
        for field in &form.fields {
            let option = options.iter().find(|o| o["name"] == field.id).expect("its field is there");
            assert_eq!(option["required"] == true, field.required, "{} {}", form.words(), field.id);
            if let (Kind::Choice(choices), false) = (&field.kind, field.many) {
                assert_eq!(option["choices"].as_array().unwrap().len(), choices.len());
            }
        }
    }
}

#[test]
fn the_same_commands_are_not_sent_again() {
    let shop = Shop::open();
    let looked = shop.server.count("GET", "/commands");
    // A session that cannot be resumed: everything is made ready afresh.
    shop.server.shared.session().order(Order::Close(4009));
    shop.server
        .wait("a second look at the commands", |_| (shop.server.count("GET", "/commands") > looked).then_some(()));
    // Time enough to send them again, if it would.
    std::thread::sleep(PAUSE);
    assert_eq!(shop.server.shared.session().identified, 2);
    assert_eq!(shop.server.count("PUT", "/commands"), 1);
    assert_eq!(shop.server.count("GET", "/guilds/400/roles"), 2, "the roles are read once per start");
}

#[test]
fn without_a_server_of_its_own_it_registers_everywhere_and_then_knows_it() {
    let shop = Shop::with(|settings| settings.guild = 0);
    let put = shop.server.call("PUT", "/commands");
    assert_eq!(put.path, format!("/applications/{APPLICATION}/commands"));
    let kept = shop.server.shared.commands().clone();
    assert_eq!(kept[0]["contexts"], serde_json::json!([0]), "not in private messages: they carry no roles");
    drop(shop);
    let server = Server::start();
    server.shared.commands().clone_from(&kept);
    let shop = Shop::started(server, |settings| settings.guild = 0);
    shop.server.call("GET", "/commands");
    std::thread::sleep(PAUSE);
    assert_eq!(shop.server.count("PUT", "/commands"), 0);
}
