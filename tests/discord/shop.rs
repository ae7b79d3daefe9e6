//! A shop with the chat front open against the server, and what a member does there.

use std::sync::{Arc, LazyLock};
use std::time::Duration;

use gudgeon::desk::Desk;
use gudgeon::fronts::discord::{self, Running, Settings, State, Token};
use serde_json::{Value, json};

use super::events::{self, GUILD, Person};
use super::rest::Call;
use super::server::Server;
use crate::talks;

/// The type of an answer that says "one moment".
pub const WAIT: u8 = 5;
/// The same without a word, where the answer takes another message's place.
pub const WAIT_IN_PLACE: u8 = 6;

pub const TOKEN: &str = "MTAy.Gx-never-shown.Zq4_secretword";

/// The front stands first, so that it says goodbye while there is someone to hear it.
pub struct Shop {
    pub running: Running,
    pub server: Server,
    pub desk: Arc<Desk>,
}

/// One desk for all: its index takes longer to build than any of these tests takes. No test counts on what another
/// left in the record.
static DESK: LazyLock<Arc<Desk>> = LazyLock::new(|| Arc::new(talks::bench()));

pub fn settings(api: &str) -> Settings {
    let mut settings = Settings::new(Token::new(TOKEN).unwrap());
    settings.guild = GUILD;
    settings.lead_roles = vec!["lead".to_owned()];
    settings.tech_roles = vec!["tech".to_owned()];
    settings.api = Some(api.to_owned());
    settings.attachments = Some(api.to_owned());
    settings
}

/// The front of one shop.
pub fn start(settings: Settings, desk: &Arc<Desk>) -> Running {
    let shop = discord::Shop { settings, desk: Some(Arc::clone(desk)) };
    discord::start(vec![shop]).unwrap().remove(0)
}

impl Shop {
    /// A shop whose front is up and has registered its commands.
    pub fn open() -> Self {
        Self::with(|_| {})
    }

    pub fn with(change: impl FnOnce(&mut Settings)) -> Self {
        let shop = Self::started(Server::start(), change);
        shop.server.wait("registered commands", |shared| (!shared.commands().is_empty()).then_some(()));
        shop
    }

    /// A shop with a record that no other test sees.
    pub fn alone(change: impl FnOnce(&mut Settings)) -> Self {
        Self::alone_at(Server::start(), |settings, _| change(settings))
    }

    pub fn alone_at(server: Server, change: impl FnOnce(&mut Settings, &Server)) -> Self {
        let shop = Self::over(Arc::new(talks::bench()), server, change);
        shop.server.wait("registered commands", |shared| (!shared.commands().is_empty()).then_some(()));
        shop
    }

    /// A shop whose front is starting.
    pub fn started(server: Server, change: impl FnOnce(&mut Settings)) -> Self {
        Self::over(Arc::clone(&DESK), server, |settings, _| change(settings))
    }

    pub fn over(desk: Arc<Desk>, server: Server, change: impl FnOnce(&mut Settings, &Server)) -> Self {
        let mut settings = settings(&server.api);
        change(&mut settings, &server);
        let running = start(settings, &desk);
        Self { running, server, desk }
    }

    pub fn wait_for(&self, what: &str, right: impl Fn(&State) -> bool) -> State {
        self.server.wait(what, |_| Some(self.running.state()).filter(|state| right(state)))
    }

    /// The answer to a slash command.
    pub fn slash(&self, person: Person, words: &str, options: Vec<Value>) -> Call {
        let id = self.server.new_id();
        self.ask(id, events::slash(id, person, words, options))
    }

    /// The values and labels offered for the option that is focused.
    pub fn typing(&self, person: Person, words: &str, options: Vec<Value>) -> Vec<(String, String)> {
        let id = self.server.new_id();
        let call = self.ask(id, events::typing(id, person, words, options));
        assert_eq!(call.body["type"], 8);
        let choices = call.body["data"]["choices"].as_array().unwrap().clone();
        let text = |value: &Value| value.as_str().unwrap().to_owned();
        choices.iter().map(|choice| (text(&choice["value"]), text(&choice["name"]))).collect()
    }

    pub fn press(&self, person: Person, custom_id: &str) -> Call {
        let id = self.server.new_id();
        self.ask(id, events::press(id, person, custom_id))
    }

    pub fn choose(&self, person: Person, custom_id: &str, value: &str) -> Call {
        let id = self.server.new_id();
        self.ask(id, events::choose(id, person, custom_id, value))
    }

    pub fn fill(&self, person: Person, custom_id: &str, values: &[(&str, &str)]) -> Call {
        let id = self.server.new_id();
        self.ask(id, events::fill(id, person, custom_id, values))
    }

    fn ask(&self, id: u64, interaction: Value) -> Call {
        self.server.event("INTERACTION_CREATE", interaction);
        self.answer(id)
    }

    /// The first answer to an interaction.
    pub fn first_answer(&self, id: u64) -> Call {
        self.server.call("POST", &format!("/interactions/{id}/"))
    }

    /// The answer to an interaction: the first, or what came after "one moment", in the form of a first one.
    pub fn answer(&self, id: u64) -> Call {
        let first = self.first_answer(id);
        if first.body["type"] != WAIT && first.body["type"] != WAIT_IN_PLACE {
            return first;
        }
        let late = self.server.wait("a late answer", |shared| {
            let token = format!("/answer-{id}");
            let late = |call: &&Call| call.path.starts_with("/webhooks/") && call.path.contains(&token);
            shared.calls().iter().filter(late).find(|call| call.method != "DELETE").cloned()
        });
        Call { body: json!({"type": 4, "data": late.body}), ..late }
    }
}

/// What happened before the front first looked at the record is not told: wait for that.
pub fn looked(shop: &Shop) {
    shop.wait_for("the front", |state| *state == State::Up);
    std::thread::sleep(Duration::from_millis(1_500));
}

/// All that an answer shows, in one text.
pub fn shown(call: &Call) -> String {
    let mut out = String::new();
    for embed in call.body["data"]["embeds"].as_array().into_iter().flatten() {
        for part in [&embed["title"], &embed["description"], &embed["footer"]["text"]] {
            out.push_str(part.as_str().unwrap_or_default());
            out.push('\n');
        }
    }
    out
}

/// True when only the asker sees it.
pub fn private(call: &Call) -> bool {
    call.body["data"]["flags"].as_u64().unwrap_or(0) & 64 != 0
}

/// Label and custom id of every button of an answer.
pub fn buttons(call: &Call) -> Vec<(String, String)> {
    buttons_of(&call.body["data"])
}

/// The same of a message.
pub fn buttons_of(message: &Value) -> Vec<(String, String)> {
    let rows = message["components"].as_array().cloned().unwrap_or_default();
    let pressed = rows.iter().flat_map(|row| row["components"].as_array().cloned().unwrap_or_default());
    pressed
        .filter(|component| component["type"] == 2)
        .map(|b| (b["label"].as_str().unwrap().to_owned(), b["custom_id"].as_str().unwrap().to_owned()))
        .collect()
}
