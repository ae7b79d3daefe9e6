//! Faults that take their time: those after which the client waits, spins, or says nothing. `--skip discord::slow` leaves
//! them out of a quick run.

use std::thread;
use std::time::Duration;

use gudgeon::desk::{Front, Role};
use gudgeon::fronts::discord::State;
use serde_json::Value;

use super::events::{TECH, text};
use super::gateway::Order;
use super::process::Process;
use super::server::Server;
use super::shop::{Shop, shown};
use super::telling::said;
use super::world::{Fate, REVIEW};

/// As the platform asks for it; with a short one the client would find out by itself.
const PLATFORMS_HEARTBEAT: Duration = Duration::from_secs(41);
/// A core that spins takes all of itself; on a busy machine still far more than this.
const QUIET: f64 = 0.15;

fn answers(shop: &Shop) {
    let call = shop.slash(TECH, "convert", vec![text("value", "4.030in"), text("to", "mm")]);
    assert!(shown(&call).contains("102.36"), "{}", shown(&call));
}

/// A process whose client meets that fault, and a server that counts its starts.
fn process(fault: impl FnOnce(&Server)) -> (Server, Process, tempfile::TempDir) {
    let (server, folder) = (Server::start(), tempfile::tempdir().unwrap());
    server.shared.session().heartbeat = PLATFORMS_HEARTBEAT;
    let process = Process::start(&server, folder.path());
    fault(&server);
    (server, process, folder)
}

fn started_again(server: &Server) {
    server.wait("another start", |shared| (shared.session().identified > 1).then_some(()));
}

#[test]
fn a_session_that_is_gone_is_begun_anew() {
    let faults: [fn(&Shop); 4] = [
        |shop| shop.server.shared.session().opcode(9, Value::Bool(false)),
        |shop| shop.server.shared.session().order(Order::Close(4009)),
        |shop| {
            shop.server.shared.session().forgets = true;
            shop.server.shared.session().order(Order::Fin);
        },
        // No heartbeat is answered any more.
        |shop| shop.server.shared.session().deaf = true,
    ];
    thread::scope(|threads| {
        for fault in faults {
            threads.spawn(move || {
                let shop = Shop::open();
                fault(&shop);
                started_again(&shop.server);
                shop.server.shared.session().deaf = false;
                assert_eq!(shop.running.state(), State::Up);
                answers(&shop);
            });
        }
    });
}

#[test]
fn a_gateway_that_is_away_for_a_while_is_found_again() {
    let shop = Shop::open();
    shop.server.shared.session().shut = true;
    shop.server.shared.session().order(Order::Fin);
    thread::sleep(Duration::from_secs(3));
    shop.server.shared.session().shut = false;
    started_again(&shop.server);
    answers(&shop);
}

#[test]
fn a_client_that_spins_is_replaced_and_its_core_given_back() {
    let faults: [fn(&Server); 2] = [
        |server| server.shared.session().order(Order::Close(4003)),
        |server| {
            server.shared.session().shut = true;
            server.shared.session().order(Order::Rst);
            thread::sleep(Duration::from_secs(8));
            server.shared.session().shut = false;
        },
    ];
    thread::scope(|threads| {
        for fault in faults {
            threads.spawn(move || {
                let (server, process, _folder) = process(fault);
                started_again(&server);
                thread::sleep(Duration::from_secs(1));
                let share = process.share(Duration::from_secs(4));
                assert!(share < QUIET, "it takes {share:.2} of a core");
            });
        }
    });
}

#[test]
fn a_bot_that_is_turned_away_for_good_ends_plainly_and_takes_no_core() {
    thread::scope(|threads| {
        threads.spawn(|| {
            let server = Server::start();
            server.shared.session().heartbeat = PLATFORMS_HEARTBEAT;
            server.shared.session().refuse_with = Some(4010);
            let shop = Shop::started(server, |_| {});
            let turned_away = |state: &State| matches!(state, State::Ended(_));
            while !turned_away(&shop.running.state()) && shop.server.shared.session().identified < 4 {
                thread::sleep(Duration::from_millis(100));
            }
            let State::Ended(why) = shop.running.state() else { panic!("it is tried for ever") };
            assert!(why.contains("4010 or 4011"), "{why}");
            assert_eq!(shop.server.shared.session().identified, 3);
        });
        let (server, process, _folder) = process(|server| {
            server.shared.session().refuse_with = Some(4011);
            server.shared.session().forgets = true;
            server.shared.session().order(Order::Close(4009));
        });
        // Once let in, once refused while it was, and then three times turned away.
        for number in 2..=5 {
            server.wait("a start that is refused", |shared| (shared.session().identified >= number).then_some(()));
        }
        thread::sleep(Duration::from_secs(8));
        assert_eq!(server.shared.session().identified, 5);
        let share = process.share(Duration::from_secs(4));
        assert!(share < QUIET, "it takes {share:.2} of a core");
    });
}

#[test]
fn a_service_that_takes_a_message_and_never_answers_holds_nothing_up_for_ever() {
    let shop = Shop::alone(|settings| settings.review_channel = "lead-bench".to_owned());
    thread::sleep(Duration::from_millis(1_500));
    shop.server.shared.world().messages = Fate::TakenSilently;
    said(&shop.desk, "tech-1", Role::Tech, (Front::Page, "page"), "log main-journal 5 2.4470in 2.4470in job=1");
    shop.server.wait("the message", |shared| (!shared.posted().is_empty()).then_some(()));
    shop.server.shared.world().messages = Fate::Taken;
    answers(&shop);
    let tries = || shop.server.count("POST", &format!("/channels/{REVIEW}/messages"));
    shop.server.wait("a second try", |_| (tries() >= 2).then_some(()));
    thread::sleep(Duration::from_secs(1));
    assert_eq!(shop.server.shared.posted().len(), 1, "and it stands there once");
}
