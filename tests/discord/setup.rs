//! From nothing to a working bot: the invite link, and what `gudgeon discord check` finds missing.

use std::process::Command;

use gudgeon::fronts::discord::{Finding, Settings, Token, application, check, invite_link};

use super::events::GUILD;
use super::server::Server;
use super::shop::settings;
use super::world::{CREATE_PUBLIC_THREADS, PIN_MESSAGES, REVIEW, SEND_MESSAGES, SEND_MESSAGES_IN_THREADS, World};

/// What is found in that world with those settings; only what is wrong.
fn wrong(world: impl FnOnce(&mut World), change: impl FnOnce(&mut Settings)) -> Vec<String> {
    let server = Server::start();
    world(&mut server.shared.world());
    let mut settings = settings(&server.api);
    settings.review_channel = "lead-bench".to_owned();
    change(&mut settings);
    told(check(Ok(Some(settings))))
}

fn told(findings: Vec<Finding>) -> Vec<String> {
    findings.into_iter().filter(|finding| finding.right.is_some()).map(|finding| finding.to_string()).collect()
}

/// One thing is wrong, and this is said of it.
fn only(found: &[String], parts: &[&str]) {
    let [one] = found else { panic!("{found:#?}") };
    for part in parts {
        assert!(one.contains(part), "“{part}” was expected in: {one}");
    }
}

#[test]
fn where_all_is_well_nothing_is_found_and_nothing_is_changed() {
    let server = Server::start();
    let mut settings = settings(&server.api);
    settings.review_channel = "#lead-bench".to_owned();
    settings.digest_channel = "bench".to_owned();
    settings.jobs_channel = "bench".to_owned();
    let findings = check(Ok(Some(settings)));
    assert!(findings.iter().all(|finding| finding.right.is_none()), "{findings:#?}");
    let about: Vec<&str> = findings.iter().map(|finding| finding.about).collect();
    let expected =
        ["token", "gateway", "discord.guild", "commands", "discord.lead_roles", "discord.tech_roles", "rights"];
    assert!(about.starts_with(&expected), "{about:?}");
    assert!(server.shared.calls().iter().all(|call| call.method == "GET"), "it only looks");
    assert_eq!(server.shared.session().identified, 0, "and takes no events from the bot that runs");
}

#[test]
fn a_token_that_is_missing_or_dead_is_told() {
    only(&told(check(Ok(None))), &["token: there is none", "GUDGEON_DISCORD_TOKEN", "discord.token_file"]);
    let unreadable = Err(anyhow::anyhow!("discord.token_file: cannot read token"));
    only(&told(check(unreadable)), &["token: discord.token_file: cannot read token", "one word"]);
    only(&wrong(|world| world.token_known = false, |_| {}), &["token: the platform does not know it", "copied anew"]);
    let mut nowhere = Settings::new(Token::new("a.b.c").unwrap());
    nowhere.api = Some("http://127.0.0.1:9".to_owned());
    only(&told(check(Ok(Some(nowhere)))), &["platform: it cannot be reached", "port 443"]);
}

#[test]
fn a_gateway_that_is_shut_is_told() {
    let server = Server::start();
    server.shared.session().shut = true;
    only(&told(check(Ok(Some(settings(&server.api))))), &["gateway: ", "cannot be reached", "WebSocket"]);
}

#[test]
fn a_server_that_the_bot_is_not_on_is_told() {
    only(&wrong(|_| {}, |settings| settings.guild = 0), &["discord.guild: no server is named", "copy the server's ID"]);
    let found = wrong(|world| world.invited = false, |_| {});
    only(&found, &["discord.guild: the bot is not on server 400", "gudgeon discord invite"]);
    only(&wrong(|_| {}, |settings| settings.guild = 401), &["discord.guild: the bot is not on server 401"]);
    only(&wrong(|world| world.code_grant = true, |_| {}), &["application: ", "Code Grant", "switch off"]);
    only(&wrong(|world| world.commands_scope = false, |_| {}), &["commands: ", "applications.commands"]);
}

#[test]
fn roles_and_channels_that_are_not_there_are_told_with_those_that_are() {
    let found = wrong(|world| world.role_names = ["boss", "tech"], |_| {});
    only(&found, &["discord.lead_roles: there is no role called “lead”", "one of boss, gudgeon, tech, visitors"]);
    let found = wrong(|_| {}, |settings| settings.tech_roles.clear());
    only(&found, &["discord.tech_roles: no role is named, so nobody is a tech"]);
    let found = wrong(|world| world.review_channel = "leads", |_| {});
    only(&found, &["discord.review_channel: there is no text channel called “lead-bench”", "one of bench, leads"]);
    let found = wrong(|_| {}, |settings| settings.digest_channel = "Shop floor".to_owned());
    only(&found, &["discord.digest_channel", "“Shop floor”"]);
}

#[test]
fn rights_that_are_missing_are_told_where_they_are() {
    let found = wrong(|world| world.rights &= !SEND_MESSAGES_IN_THREADS, |_| {});
    only(&found, &["rights: the bot lacks: Send Messages in Threads", "gudgeon discord invite"]);
    let found = wrong(|world| world.rights &= !(CREATE_PUBLIC_THREADS | PIN_MESSAGES), |_| {});
    only(&found, &["rights: the bot lacks: Create Public Threads, Pin Messages", "gudgeon discord invite"]);
    let found = wrong(
        |world| world.denied = vec![(REVIEW, CREATE_PUBLIC_THREADS)],
        |settings| settings.jobs_channel = "lead-bench".to_owned(),
    );
    only(&found, &["discord.jobs_channel: in #lead-bench the bot lacks: Create Public Threads"]);
    let found = wrong(|world| world.denied = vec![(REVIEW, SEND_MESSAGES)], |_| {});
    only(&found, &["discord.review_channel: in #lead-bench the bot lacks: Send Messages", "that channel's settings"]);
    let found = wrong(|world| world.lead_can_be_called = false, |_| {});
    only(&found, &["discord.lead_roles: an out calls the role “lead”, and the bot may not", "@mention this role"]);
}

#[test]
fn the_invite_link_can_ask_the_platform_which_application_it_is_for() {
    let server = Server::start();
    let number = application(&settings(&server.api)).unwrap();
    assert!(invite_link(number, GUILD).contains("client_id=300"));
    server.shared.world().token_known = false;
    assert!(application(&settings(&server.api)).unwrap_err().contains("401"));
}

#[test]
fn the_program_says_it_with_its_exit_code() {
    let folder = tempfile::tempdir().unwrap();
    let run = |words: &[&str]| {
        let mut program = Command::new(env!("CARGO_BIN_EXE_gudgeon"));
        program.current_dir(folder.path()).env_remove("GUDGEON_DISCORD_TOKEN").arg("discord").args(words);
        let done = program.output().unwrap();
        let said = String::from_utf8_lossy(&done.stdout).into_owned() + &String::from_utf8_lossy(&done.stderr);
        (done.status.code(), said)
    };
    let (code, said) = run(&["check"]);
    assert!(code == Some(2) && said.contains("token: there is none") && said.contains("1 thing(s)"), "{said}");
    let (code, said) = run(&["invite", "300"]);
    assert!(code == Some(0) && said.starts_with("https://") && said.contains("client_id=300&"), "{said}");
    let (code, said) = run(&["invite"]);
    assert!(code == Some(2) && said.contains("gudgeon discord invite NUMBER"), "{said}");
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0, "nothing was made");
}
