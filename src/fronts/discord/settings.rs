//! What this front needs to know, and where its token comes from.

use std::ffi::OsString;
use std::fmt;
use std::path::{Path, PathBuf};
use std::time::Duration;

use anyhow::{Context as _, bail};

use crate::config::Config;

/// The environment variable that holds the token; it beats the file.
pub const TOKEN_VARIABLE: &str = "GUDGEON_DISCORD_TOKEN";

/// Beside the record.
const OUTBOX_FILE: &str = "outbox.sqlite";

/// The bot's token. It shows itself to nobody but the platform.
#[derive(Clone, PartialEq, Eq)]
pub struct Token(String);

impl Token {
    /// A token as pasted: one word, or a refusal that does not repeat it.
    pub fn new(text: &str) -> anyhow::Result<Self> {
        let text = text.trim();
        let text = text.strip_prefix("Bot ").unwrap_or(text).trim_start();
        if text.is_empty() {
            bail!("it is empty");
        }
        if !text.chars().all(|c| c.is_ascii_graphic()) {
            bail!("it is not a token: a token is one word of letters, digits and dots");
        }
        Ok(Self(text.to_owned()))
    }

    pub(super) fn secret(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Token(…)")
    }
}

/// How the front runs.
#[derive(Debug, Clone)]
pub struct Settings {
    pub token: Token,
    /// The server the commands belong to; 0 for every server the bot is in.
    pub guild: u64,
    /// Names of the server's roles that make a member a lead or a tech; everyone else is an apprentice.
    pub lead_roles: Vec<String>,
    pub tech_roles: Vec<String>,
    /// Names of the channels for what waits for the lead and for the digest; empty for none.
    pub review_channel: String,
    pub digest_channel: String,
    /// Name of the channel in which every job gets its thread; empty for the one where it was opened on the chat.
    pub jobs_channel: String,
    /// The file that keeps what is still to be said, and each job's thread; none for the life of the program only.
    pub outbox: Option<PathBuf>,
    /// Another address to speak to in place of the platform's own, for tests: `http://127.0.0.1:PORT`.
    pub api: Option<String>,
    /// Another way of speaking to the platform's own address, for tests.
    pub client: Option<reqwest::Client>,
    /// Another address that attachments lie at, in place of the platform's own, for tests.
    pub attachments: Option<String>,
    /// How long what is attached to a line may take to come.
    pub fetch_within: Duration,
    /// How long the desk may think before the asker is told to wait; with zero, that always comes first. The platform
    /// gives 3 s.
    pub defer_after: Duration,
    /// How long the connection may show no life before it is made anew.
    pub patience: Duration,
}

impl Settings {
    pub fn new(token: Token) -> Self {
        Self {
            token,
            guild: 0,
            lead_roles: Vec::new(),
            tech_roles: Vec::new(),
            review_channel: String::new(),
            digest_channel: String::new(),
            jobs_channel: String::new(),
            outbox: None,
            api: None,
            client: None,
            attachments: None,
            fetch_within: Duration::from_secs(30),
            defer_after: Duration::from_millis(1_500),
            patience: Duration::from_secs(90),
        }
    }

    /// The settings of the chat front, or none where the shop has given no token.
    ///
    /// Refuses a token that cannot be read or is none, and never repeats it.
    pub fn find(config: &Config) -> anyhow::Result<Option<Self>> {
        Self::found(config, std::env::var_os(TOKEN_VARIABLE))
    }

    /// The same for a shop among several: there its server has to be named, or it would answer on another shop's.
    pub fn find_among(config: &Config) -> anyhow::Result<Option<Self>> {
        let settings = Self::find(config)?;
        if settings.as_ref().is_some_and(|settings| settings.guild == 0) {
            bail!("discord.guild: name the shop's server, as each of several shops has to");
        }
        Ok(settings)
    }

    fn found(config: &Config, variable: Option<OsString>) -> anyhow::Result<Option<Self>> {
        let discord = &config.discord;
        let token = match variable.filter(|v| !v.is_empty()) {
            Some(text) => Token::new(&text.to_string_lossy()).with_context(|| TOKEN_VARIABLE.to_owned())?,
            None if discord.token_file.as_os_str().is_empty() => return Ok(None),
            None => from_file(&discord.token_file)?,
        };
        Ok(Some(Self {
            guild: discord.guild,
            lead_roles: discord.lead_roles.clone(),
            tech_roles: discord.tech_roles.clone(),
            review_channel: discord.review_channel.clone(),
            digest_channel: discord.digest_channel.clone(),
            jobs_channel: discord.jobs_channel.clone(),
            outbox: Some(config.data.join(OUTBOX_FILE)),
            ..Self::new(token)
        }))
    }
}

fn from_file(path: &Path) -> anyhow::Result<Token> {
    let text =
        std::fs::read_to_string(path).with_context(|| format!("discord.token_file: cannot read {}", path.display()))?;
    Token::new(&text).with_context(|| format!("discord.token_file: {}", path.display()))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use super::*;

    const SECRET: &str = "MTAx.Gx-secret_.word";

    fn config(file: &Path) -> Config {
        let mut config = Config::default();
        config.discord.token_file = file.to_owned();
        config.discord.guild = 7;
        config
    }

    #[test]
    fn without_a_token_the_front_stays_shut() {
        assert!(Settings::found(&Config::default(), None).unwrap().is_none());
        assert!(Settings::found(&Config::default(), Some(OsString::new())).unwrap().is_none());
    }

    #[test]
    fn the_environment_beats_the_file() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("token");
        std::fs::write(&file, "other.token\n").unwrap();
        let settings = Settings::found(&config(&file), Some(SECRET.into())).unwrap().unwrap();
        assert_eq!((settings.token.secret(), settings.guild), (SECRET, 7));
        let settings = Settings::found(&config(&file), None).unwrap().unwrap();
        assert_eq!(settings.token.secret(), "other.token");
    }

    #[test]
    fn a_bad_token_file_is_named_and_its_text_is_not() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("token");
        let error = format!("{:#}", Settings::found(&config(&file), None).unwrap_err());
        assert!(error.contains("cannot read") && error.contains("token"), "{error}");
        std::fs::write(&file, " \n").unwrap();
        let error = format!("{:#}", Settings::found(&config(&file), None).unwrap_err());
        assert!(error.contains("it is empty"), "{error}");
        std::fs::write(&file, format!("{SECRET}\nsecond line\n")).unwrap();
        let error = format!("{:#}", Settings::found(&config(&file), None).unwrap_err());
        assert!(error.contains("not a token") && !error.contains("secret"), "{error}");
    }

    #[test]
    fn the_token_is_never_shown() {
        let settings = Settings::new(Token::new(&format!("Bot {SECRET}\n")).unwrap());
        assert_eq!(settings.token.secret(), SECRET);
        assert!(!format!("{settings:?}{settings:#?}").contains("secret"));
    }
}
