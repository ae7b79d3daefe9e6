//! The shop's settings: a TOML file, every key with a default, unknown keys refused.
//!
//! A key in the file beats the default, a `GUDGEON_…` environment variable beats the file, a flag beats all.

use std::collections::BTreeMap;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::str::FromStr;

use anyhow::{Context as _, bail};
use jiff::tz::TimeZone;
use serde::{Deserialize, Serialize};

use crate::desk::{Hours, Role, Settings};

/// All that can be set. `config.example.toml` shows every key at its default.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields, default)]
pub struct Config {
    /// The folders of several shops, each with a settings file of its own; see [`crate::shops`].
    pub shops: Vec<PathBuf>,
    pub shop: String,
    pub demo: bool,
    pub data: PathBuf,
    pub library: PathBuf,
    pub own_acceptance: bool,
    /// Where the shop's day begins and ends.
    pub time_zone: Zone,
    /// The hour of that day from which the lead's digest is due.
    pub digest_hour: Hour,
    pub people: BTreeMap<String, Person>,
    pub terminal: Terminal,
    pub page: Page,
    pub discord: Discord,
}

/// A time zone by its name in the tz database.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(try_from = "String", into = "String")]
pub struct Zone {
    name: String,
    zone: TimeZone,
}

/// An hour of the day, 0 to 23.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, Serialize)]
#[serde(try_from = "i64", into = "i64")]
pub struct Hour(i8);

/// What a setting cannot be, and what it can.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
pub struct Nonsense(String);

impl TryFrom<String> for Zone {
    type Error = Nonsense;

    fn try_from(name: String) -> Result<Self, Nonsense> {
        match TimeZone::get(&name) {
            Ok(zone) => Ok(Self { name, zone }),
            Err(_) => Err(Nonsense(format!(
                "time_zone: no zone is called “{name}”: write its name in the tz database, such as UTC or Atlantic/Faroe"
            ))),
        }
    }
}

impl From<Zone> for String {
    fn from(zone: Zone) -> Self {
        zone.name
    }
}

impl FromStr for Zone {
    type Err = Nonsense;

    fn from_str(text: &str) -> Result<Self, Nonsense> {
        Self::try_from(text.to_owned())
    }
}

impl TryFrom<i64> for Hour {
    type Error = Nonsense;

    fn try_from(hour: i64) -> Result<Self, Nonsense> {
        match i8::try_from(hour) {
            Ok(hour @ 0..=23) => Ok(Self(hour)),
            _ => Err(Nonsense(format!("digest_hour: {hour} is no hour of the day: write 0 to 23"))),
        }
    }
}

impl From<Hour> for i64 {
    fn from(hour: Hour) -> Self {
        hour.0.into()
    }
}

impl FromStr for Hour {
    type Err = Nonsense;

    fn from_str(text: &str) -> Result<Self, Nonsense> {
        let hour = text.trim().parse::<i64>();
        hour.map_err(|_| Nonsense("digest_hour: write an hour of the day, 0 to 23".to_owned())).and_then(Self::try_from)
    }
}

/// A member of the shop.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Person {
    pub role: Role,
}

/// The terminal front.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields, default)]
pub struct Terminal {
    /// Who types there, unless `--as` says otherwise.
    pub person: String,
}

/// The phone page.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields, default)]
pub struct Page {
    /// Whether there is one: a shop may be on the chat alone.
    pub serve: bool,
    /// Beyond loopback it is served over TLS, always.
    pub listen: SocketAddr,
    /// Where phones reach it, such as `https://gudgeon.local:8470`; printed as a code on the build sheet.
    pub address: String,
    /// A given certificate and its key, PEM; empty for the shop's own.
    pub certificate: PathBuf,
    pub key: PathBuf,
}

/// The chat front; it runs only with a token, from `GUDGEON_DISCORD_TOKEN` or a file.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields, default)]
pub struct Discord {
    pub token_file: PathBuf,
    /// The server the commands are registered in; 0 for none.
    pub guild: u64,
    /// Names of the server's channels for what waits for the lead and for the digest; empty for none.
    pub review_channel: String,
    pub digest_channel: String,
    /// Name of the channel in which every job gets its thread; empty for the one where it was opened on the chat.
    pub jobs_channel: String,
    /// Names of the server's roles that make a member a lead or a tech here.
    pub lead_roles: Vec<String>,
    pub tech_roles: Vec<String>,
}

impl Default for Config {
    fn default() -> Self {
        let person = |role| Person { role };
        Self {
            shops: Vec::new(),
            shop: "Ropewalk Engine Works".to_owned(),
            demo: true,
            data: "data".into(),
            library: "knowledge".into(),
            own_acceptance: false,
            time_zone: Zone { name: "UTC".to_owned(), zone: TimeZone::UTC },
            digest_hour: Hour(18),
            people: BTreeMap::from([
                ("lead".to_owned(), person(Role::Lead)),
                ("tech-1".to_owned(), person(Role::Tech)),
                ("apprentice-1".to_owned(), person(Role::Apprentice)),
            ]),
            terminal: Terminal::default(),
            page: Page::default(),
            discord: Discord::default(),
        }
    }
}

impl Default for Terminal {
    fn default() -> Self {
        Self { person: "tech-1".to_owned() }
    }
}

impl Default for Page {
    fn default() -> Self {
        Self {
            serve: true,
            listen: SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), 8470),
            address: String::new(),
            certificate: PathBuf::new(),
            key: PathBuf::new(),
        }
    }
}

impl Default for Discord {
    fn default() -> Self {
        Self {
            token_file: PathBuf::new(),
            guild: 0,
            review_channel: String::new(),
            digest_channel: String::new(),
            jobs_channel: String::new(),
            lead_roles: vec!["lead".to_owned()],
            tech_roles: vec!["tech".to_owned()],
        }
    }
}

/// The file read when none is named, if it is there.
pub const USUAL_FILE: &str = "gudgeon.toml";

impl Config {
    /// The settings in `file`, or those of the usual file, or the defaults. Paths in a file start from its folder.
    pub fn load(file: Option<&Path>) -> anyhow::Result<Self> {
        let file = match file {
            Some(file) => file,
            None if Path::new(USUAL_FILE).is_file() => Path::new(USUAL_FILE),
            None => return Ok(Self::default()),
        };
        let text = std::fs::read_to_string(file).with_context(|| format!("cannot read {}", file.display()))?;
        let mut config: Self = toml::from_str(&text).with_context(|| format!("{} is not right", file.display()))?;
        let folder = file.parent().unwrap_or(Path::new("."));
        config.shops.iter_mut().for_each(|shop| *shop = folder.join(&*shop));
        let page = &mut config.page;
        for path in [
            &mut config.data,
            &mut config.library,
            &mut config.discord.token_file,
            &mut page.certificate,
            &mut page.key,
        ] {
            if !path.as_os_str().is_empty() {
                *path = folder.join(&*path);
            }
        }
        Ok(config)
    }

    /// Lays environment variables over the file: `GUDGEON_SHOP`, `GUDGEON_DISCORD_GUILD` and so on.
    pub fn overlay(&mut self, variable: impl Fn(&str) -> Option<String>) -> anyhow::Result<()> {
        fn put<T: std::str::FromStr>(place: &mut T, name: &str, text: Option<String>) -> anyhow::Result<()>
        where
            T::Err: std::error::Error + Send + Sync + 'static,
        {
            if let Some(text) = text {
                *place = text.parse().with_context(|| format!("{name} is not right: “{text}”"))?;
            }
            Ok(())
        }
        put(&mut self.shop, "GUDGEON_SHOP", variable("GUDGEON_SHOP"))?;
        put(&mut self.demo, "GUDGEON_DEMO", variable("GUDGEON_DEMO"))?;
        put(&mut self.data, "GUDGEON_DATA", variable("GUDGEON_DATA"))?;
        put(&mut self.library, "GUDGEON_LIBRARY", variable("GUDGEON_LIBRARY"))?;
        put(&mut self.own_acceptance, "GUDGEON_OWN_ACCEPTANCE", variable("GUDGEON_OWN_ACCEPTANCE"))?;
        put(&mut self.time_zone, "GUDGEON_TIME_ZONE", variable("GUDGEON_TIME_ZONE"))?;
        put(&mut self.digest_hour, "GUDGEON_DIGEST_HOUR", variable("GUDGEON_DIGEST_HOUR"))?;
        put(&mut self.terminal.person, "GUDGEON_PERSON", variable("GUDGEON_PERSON"))?;
        put(&mut self.page.serve, "GUDGEON_PAGE", variable("GUDGEON_PAGE"))?;
        put(&mut self.page.listen, "GUDGEON_LISTEN", variable("GUDGEON_LISTEN"))?;
        put(&mut self.page.address, "GUDGEON_ADDRESS", variable("GUDGEON_ADDRESS"))?;
        put(&mut self.page.certificate, "GUDGEON_CERTIFICATE", variable("GUDGEON_CERTIFICATE"))?;
        put(&mut self.page.key, "GUDGEON_CERTIFICATE_KEY", variable("GUDGEON_CERTIFICATE_KEY"))?;
        put(&mut self.discord.guild, "GUDGEON_DISCORD_GUILD", variable("GUDGEON_DISCORD_GUILD"))?;
        put(&mut self.discord.token_file, "GUDGEON_DISCORD_TOKEN_FILE", variable("GUDGEON_DISCORD_TOKEN_FILE"))
    }

    /// Whether the page is served to others than this machine.
    pub fn beyond_this_machine(&self) -> bool {
        !self.page.listen.ip().is_loopback()
    }

    /// Opens the page to the shop's network, on the port it has.
    pub fn open_to_network(&mut self) {
        if !self.beyond_this_machine() {
            self.page.listen.set_ip(IpAddr::V4(Ipv4Addr::UNSPECIFIED));
        }
    }

    /// Refuses settings that contradict each other, by their keys.
    pub fn check(&self) -> anyhow::Result<()> {
        let page = &self.page;
        match (page.certificate.as_os_str().is_empty(), page.key.as_os_str().is_empty()) {
            (false, true) => bail!("page.certificate is given without page.key: name both, or neither"),
            (true, false) => bail!("page.key is given without page.certificate: name both, or neither"),
            (false, false) if page.address.is_empty() => bail!(
                "page.certificate is given without page.address: write the https:// address that the certificate is for"
            ),
            _ => {}
        }
        if self.beyond_this_machine() && !page.address.is_empty() && !page.address.starts_with("https://") {
            bail!(
                "page.address = {:?}: beyond this machine the page is served over https only, so it starts with https://",
                page.address
            );
        }
        Ok(())
    }

    /// Whom the settings name, and as what.
    pub fn roles(&self) -> BTreeMap<String, Role> {
        self.people.iter().map(|(name, person)| (name.clone(), person.role)).collect()
    }

    /// What the desk needs of it.
    pub fn settings(&self) -> Settings {
        Settings {
            shop: self.shop.clone(),
            demo: self.demo,
            people: self.roles(),
            own_acceptance: self.own_acceptance,
            address: self.page.address.clone(),
            hours: Hours { zone: self.time_zone.zone.clone(), digest: self.digest_hour.0 },
        }
    }
}
