//! Looking at all that the front needs before it is needed: each finding says what there is and what would be right.

use std::collections::HashMap;
use std::fmt;
use std::sync::Arc;
use std::time::Duration;

use serenity::all::{
    ChannelType, CurrentApplicationInfo, GatewayIntents, GuildChannel, GuildId, Http, Member, PartialGuild,
    Permissions, Role as ServerRole, RoleId, ShardId, ShardInfo,
};
use serenity::gateway::Shard;
use serenity::http::{LightMethod, Request, Route};
use tokio::sync::Mutex;
use tokio::time::timeout;

use super::answer::{limited, plain};
use super::client::{http, wait};
use super::invite;
use super::people::first_named;
use super::settings::{Settings, TOKEN_VARIABLE};
use crate::desk::notices::{Aside, Outbox};

/// One thing that was looked at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// The setting or the thing.
    pub about: &'static str,
    pub found: String,
    /// What would be right; none where it is.
    pub right: Option<String>,
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.about, self.found)?;
        match &self.right {
            Some(right) => write!(f, ". Right: {right}"),
            None => Ok(()),
        }
    }
}

fn well(about: &'static str, found: impl Into<String>) -> Finding {
    Finding { about, found: found.into(), right: None }
}

fn wrong(about: &'static str, found: impl Into<String>, right: impl Into<String>) -> Finding {
    Finding { about, found: found.into(), right: Some(right.into()) }
}

/// How long the event side may take to say hello.
const HELLO: Duration = Duration::from_secs(10);

/// Looks at everything, in the order in which it is needed; what cannot be looked at any more is left out.
pub fn check(settings: anyhow::Result<Option<Settings>>) -> Vec<Finding> {
    match settings {
        Ok(Some(settings)) => {
            let mut findings = wait(async { Ok(look(&settings).await) })
                .unwrap_or_else(|error| vec![wrong("this machine", error, "one that can run the chat front")]);
            findings.extend(unsaid(&settings));
            findings
        }
        Ok(None) => vec![wrong(
            "token",
            "there is none, so the chat front stays shut",
            format!("the bot's token in {TOKEN_VARIABLE}, or in a file that discord.token_file names"),
        )],
        Err(error) => vec![wrong("token", format!("{error:#}"), "the token as the bot's page shows it, one word")],
    }
}

/// What could not be said, and why. An outbox that is not there yet holds nothing.
fn unsaid(settings: &Settings) -> Vec<Finding> {
    const ABOUT: &str = "messages";
    let Some(place) = settings.outbox.as_deref().filter(|place| place.exists()) else { return Vec::new() };
    let looked = Outbox::open(place).and_then(|outbox| Ok((outbox.aside()?, outbox.waiting()?)));
    match looked {
        Ok((aside, waiting)) => {
            // No fault in itself: what stood in the way is one above, where it still does.
            let each = aside.into_iter().map(|Aside { notice, why, when }| {
                let day = when.strftime("%Y-%m-%d");
                well(ABOUT, format!("“{}” was not said on {day} and will not be: {why}", notice.title))
            });
            each.chain((waiting > 0).then(|| well(ABOUT, format!("{waiting} wait to be said")))).collect()
        }
        Err(error) => {
            vec![wrong(ABOUT, format!("{}: {error}", place.display()), "a file that this user may read and write")]
        }
    }
}

async fn look(settings: &Settings) -> Vec<Finding> {
    let http = http(settings);
    let application = match limited(http.get_current_application_info()).await {
        Ok(application) => application,
        Err(error) if error.starts_with("401") => {
            let right = "the token copied anew from the bot's page; an older one is dead once a new one was made";
            return vec![wrong("token", "the platform does not know it", right)];
        }
        Err(error) => {
            let right = "a machine that reaches the platform by HTTPS, port 443; look at firewall and proxy";
            return vec![wrong("platform", error, right)];
        }
    };
    http.set_application_id(application.id);
    let mut findings = vec![well("token", format!("known to the platform, as {}", application.name))];
    findings.extend(code_grant(&application));
    findings.push(gateway(settings, &http).await);
    findings.extend(server(settings, &http, &application).await);
    findings
}

/// An application that wants a code in return cannot be invited by a link.
fn code_grant(application: &CurrentApplicationInfo) -> Option<Finding> {
    let found = "“Requires OAuth2 Code Grant” is on, so the invite link does not work";
    application.bot_require_code_grant.then(|| wrong("application", found, "that switch off, on the bot's page"))
}

async fn gateway(settings: &Settings, http: &Http) -> Finding {
    let right = "a machine that may open a WebSocket to it; look at firewall and proxy";
    let url = match limited(http.get_gateway()).await {
        Ok(gateway) => gateway.url,
        Err(error) => return wrong("gateway", format!("the platform did not say where it is: {error}"), right),
    };
    let info = ShardInfo { id: ShardId(0), total: 1 };
    let place = Arc::new(Mutex::new(url.clone()));
    // Only the door: to go in would take the running bot's answers away from it.
    let opened = Shard::new(place, settings.token.secret(), info, GatewayIntents::GUILDS, None);
    match timeout(HELLO, opened).await {
        Ok(Ok(_)) => well("gateway", format!("reached at {url}")),
        Ok(Err(error)) => wrong("gateway", format!("{url} cannot be reached: {}", plain(&error)), right),
        Err(_) => wrong("gateway", format!("{url} did not answer in {} s", HELLO.as_secs()), right),
    }
}

async fn server(settings: &Settings, http: &Http, application: &CurrentApplicationInfo) -> Vec<Finding> {
    if settings.guild == 0 {
        let found = "no server is named, so its roles and channels cannot be looked at";
        let right =
            "the number of the shop's server: in the chat program, developer mode on, then copy the server's ID";
        return vec![wrong("discord.guild", found, right)];
    }
    let id = GuildId::new(settings.guild);
    let again = "`gudgeon discord invite`, and open the link as someone who may manage that server";
    let guild = match limited(http.get_guild(id)).await {
        Ok(guild) => guild,
        Err(error) => {
            let found = format!("the bot is not on server {id}, or there is none of that number ({error})");
            return vec![wrong("discord.guild", found, format!("the number of the shop's server, and then {again}"))];
        }
    };
    let mut findings = vec![well("discord.guild", format!("the bot is on {}", guild.name))];
    findings.push(match limited(http.get_guild_commands(id)).await {
        Ok(_) => well("commands", "slash commands may be registered"),
        Err(error) => wrong(
            "commands",
            format!("slash commands may not be registered there ({error})"),
            format!("the scope applications.commands: {again}"),
        ),
    });
    findings.extend(roles(settings, &guild.roles));
    let bot = serenity::all::UserId::new(application.id.get());
    let read = async {
        let rights = role_rights(http, id).await?;
        Ok((limited(http.get_member(id, bot)).await?, limited(http.get_channels(id)).await?, rights))
    };
    let (member, channels, rights) = match read.await {
        Ok(read) => read,
        Err(error) => {
            let error: String = error;
            findings.push(wrong("rights", format!("they cannot be read ({error})"), again));
            return findings;
        }
    };
    let bench = Bench { guild: &guild, member: &member, channels: &channels, rights: &rights };
    findings.extend(bench.whole_server());
    let speak = Permissions::VIEW_CHANNEL | Permissions::SEND_MESSAGES;
    let threads =
        Permissions::VIEW_CHANNEL | Permissions::CREATE_PUBLIC_THREADS | Permissions::SEND_MESSAGES_IN_THREADS;
    for (key, name, wanted) in [
        ("discord.review_channel", &settings.review_channel, speak),
        ("discord.digest_channel", &settings.digest_channel, speak),
        ("discord.jobs_channel", &settings.jobs_channel, threads),
    ] {
        findings.push(bench.channel(key, name, wanted));
    }
    findings.extend(bench.ping(settings));
    findings
}

/// Role names that no role of the server has.
fn roles(settings: &Settings, roles: &HashMap<RoleId, ServerRole>) -> Vec<Finding> {
    let mut names: Vec<&str> = roles.values().map(|role| role.name.trim()).filter(|n| *n != "@everyone").collect();
    names.sort_unstable();
    let there = if names.is_empty() { "a role made for it".to_owned() } else { format!("one of {}", names.join(", ")) };
    let known = |wanted: &String| {
        first_named(roles.iter().map(|(id, role)| (*id, role.name.as_str())), std::slice::from_ref(wanted)).is_some()
    };
    let mut findings = Vec::new();
    for (key, wanted, word) in
        [("discord.lead_roles", &settings.lead_roles, "lead"), ("discord.tech_roles", &settings.tech_roles, "tech")]
    {
        let missing: Vec<String> = wanted.iter().filter(|name| !known(name)).map(|name| format!("“{name}”")).collect();
        findings.push(if wanted.is_empty() {
            wrong(key, format!("no role is named, so nobody is a {word}"), there.clone())
        } else if missing.is_empty() {
            well(key, format!("{} is there", wanted.join(", ")))
        } else {
            wrong(key, format!("there is no role called {}", missing.join(", ")), there.clone())
        });
    }
    findings
}

/// The rights of each role by their numbers: of those that the client does not know it keeps nothing.
async fn role_rights(http: &Http, guild: GuildId) -> Result<HashMap<RoleId, Permissions>, String> {
    #[derive(serde::Deserialize)]
    struct Held {
        id: RoleId,
        permissions: String,
    }
    let roles: Vec<Held> =
        limited(http.fire(Request::new(Route::GuildRoles { guild_id: guild }, LightMethod::Get))).await?;
    let rights = |text: &str| Permissions::from_bits_retain(text.parse().unwrap_or_default());
    Ok(roles.iter().map(|role| (role.id, rights(&role.permissions))).collect())
}

/// The server as the bot stands in it.
struct Bench<'a> {
    guild: &'a PartialGuild,
    member: &'a Member,
    channels: &'a [GuildChannel],
    /// Of each role.
    rights: &'a HashMap<RoleId, Permissions>,
}

impl Bench<'_> {
    fn whole_server(&self) -> Option<Finding> {
        let everyone = RoleId::new(self.guild.id.get());
        let roles = self.member.roles.iter().chain([&everyone]).filter_map(|id| self.rights.get(id));
        let held = roles.fold(Permissions::empty(), |all, rights| all | *rights);
        let missing = if held.administrator() { Permissions::empty() } else { invite::rights() - held };
        let right = "these rights for the bot's role, or `gudgeon discord invite` and open the link again";
        Some(match missing.is_empty() {
            true => well("rights", "the bot has what it needs"),
            false => wrong("rights", format!("the bot lacks: {}", invite::names(missing)), right),
        })
    }

    /// A channel that the settings name, and whether the bot has the rights there that it takes.
    fn channel(&self, key: &'static str, name: &str, wanted: Permissions) -> Finding {
        if name.is_empty() {
            return well(key, "none is named");
        }
        let Some(channel) = find(self.channels, name) else {
            let names: Vec<&str> = self.channels.iter().filter(|c| speaks(c)).map(|c| c.name.as_str()).collect();
            let right = if names.is_empty() {
                "a text channel made for it".to_owned()
            } else {
                format!("one of {}", names.join(", "))
            };
            return wrong(key, format!("there is no text channel called “{name}” that the bot can see"), right);
        };
        let missing = wanted - self.guild.user_permissions_in(channel, self.member);
        match missing.is_empty() {
            true => well(key, format!("#{} is there and the bot may do there what it has to", channel.name)),
            false => wrong(
                key,
                format!("in #{} the bot lacks: {}", channel.name, invite::names(missing)),
                "these rights for the bot's role in that channel's settings",
            ),
        }
    }

    /// Whether the role that an out calls can be called.
    fn ping(&self, settings: &Settings) -> Option<Finding> {
        let roles = self.guild.roles.iter().map(|(id, role)| (*id, role.name.as_str()));
        let role = self.guild.roles.get(&first_named(roles, &settings.lead_roles)?)?;
        let may = role.mentionable || self.guild.member_permissions(self.member).mention_everyone();
        let found = format!("an out calls the role “{}”, and the bot may not", role.name);
        let right = "“Allow anyone to @mention this role” on, in that role's settings";
        (!may).then(|| wrong("discord.lead_roles", found, right))
    }
}

/// The text channel of that name, with or without its `#`.
pub fn find<'c>(channels: &'c [GuildChannel], name: &str) -> Option<&'c GuildChannel> {
    let wanted = name.trim().trim_start_matches('#').to_lowercase();
    channels.iter().filter(|channel| speaks(channel)).find(|channel| channel.name.to_lowercase() == wanted)
}

fn speaks(channel: &GuildChannel) -> bool {
    matches!(channel.kind, ChannelType::Text | ChannelType::News)
}
