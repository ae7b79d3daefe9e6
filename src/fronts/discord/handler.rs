//! What happens when the platform brings an event: each interaction becomes a line, a list or a form.

use std::sync::Arc;
use std::time::Duration;

use serenity::all::{
    ChannelId, CommandInteraction, ComponentInteraction, ComponentInteractionDataKind, Context, EventHandler, GuildId,
    Http, Interaction, InteractionId, Member, ModalInteraction, Ready, ResumedEvent, Role as ServerRole, RoleId, User,
};
use serenity::async_trait;
use tokio::task::spawn_blocking;
use tokio::time::timeout;

use super::answer::{self, Asked, limited};
use super::buttons::Press;
use super::paint::{self, Message};
use super::room::Room;
use super::running::State;
use super::{commands, modal, slash};
use crate::desk::form::Grid;
use crate::desk::{Asker, Front, Role};

/// The event handler of one connection.
pub struct Handler(pub Arc<Room>);

/// How long an answer may wait for the server's roles.
const ROLES_WAIT: Duration = Duration::from_millis(700);

#[async_trait]
impl EventHandler for Handler {
    async fn ready(&self, context: Context, ready: Ready) {
        tracing::info!("the chat front is up as {}", ready.user.name);
        self.0.up(ready.user.id);
        self.0.something_to_tell.notify_one();
        reconcile(&self.0, &context.http).await;
    }

    async fn resume(&self, _: Context, _: ResumedEvent) {
        self.0.set_state(State::Up);
    }

    async fn guild_role_create(&self, _: Context, role: ServerRole) {
        self.0.roles.put(&role);
    }

    async fn guild_role_update(&self, _: Context, _: Option<ServerRole>, role: ServerRole) {
        self.0.roles.put(&role);
    }

    async fn guild_role_delete(&self, _: Context, guild: GuildId, role: RoleId, _: Option<ServerRole>) {
        self.0.roles.remove(guild, role);
    }

    async fn interaction_create(&self, context: Context, interaction: Interaction) {
        if !self.0.is_new(interaction.id()) {
            return;
        }
        let http = &context.http;
        match interaction {
            Interaction::Command(command) => self.command(http, command).await,
            Interaction::Autocomplete(command) => self.autocomplete(http, command).await,
            Interaction::Component(component) => self.component(http, component).await,
            Interaction::Modal(filled) => self.modal(http, filled).await,
            _ => {}
        }
    }
}

/// The parts that every interaction has.
struct Parts<'a> {
    id: InteractionId,
    token: &'a str,
    guild: Option<GuildId>,
    channel: ChannelId,
    user: &'a User,
    member: Option<&'a Member>,
    most_bytes: u32,
}

impl Handler {
    async fn command(&self, http: &Arc<Http>, command: CommandInteraction) {
        let Some(asked) = self.asked(http, parts(&command)).await else { return };
        let given = slash::read(&command.data);
        let line = slash::line(&self.0.desk, &given);
        answer::line(http, &self.0, asked, line, given.attached).await;
    }

    async fn autocomplete(&self, http: &Arc<Http>, command: CommandInteraction) {
        let parts = parts(&command);
        let given = Some(slash::read(&command.data)).filter(|_| self.served(parts.guild).is_some());
        answer::completion(http, &self.0, self.asker(parts), given.unwrap_or_default()).await;
    }

    async fn component(&self, http: &Arc<Http>, component: ComponentInteraction) {
        let parts = Parts {
            id: component.id,
            token: &component.token,
            guild: component.guild_id,
            channel: component.channel_id,
            user: &component.user,
            member: component.member.as_ref(),
            most_bytes: component.attachment_size_limit,
        };
        let Some(mut asked) = self.asked(http, parts).await else { return };
        let id = match &component.data.kind {
            ComponentInteractionDataKind::StringSelect { values } => values.first().map_or("", String::as_str),
            _ => component.data.custom_id.as_str(),
        };
        let Some((press, photos)) = self.0.buttons.press(id) else {
            return answer::message(http, &asked, too_old("button")).await;
        };
        asked.asker.enclosed = photos;
        let line = match press {
            Press::Send(line) => line,
            Press::Form(line) => {
                let grid = self.grid(&line).await;
                let id = self.0.buttons.beside(&self.0.buttons.id(Press::Form(line.clone())), &asked.asker);
                if let Some(modal) = modal::open(self.0.desk.forms(), grid.as_ref(), &line, &id) {
                    return answer::modal(http, &asked, modal).await;
                }
                // A command without values needs no form.
                line
            }
        };
        answer::line(http, &self.0, asked, line, Vec::new()).await;
    }

    async fn modal(&self, http: &Arc<Http>, filled: ModalInteraction) {
        let parts = Parts {
            id: filled.id,
            token: &filled.token,
            guild: filled.guild_id,
            channel: filled.channel_id,
            user: &filled.user,
            member: filled.member.as_ref(),
            most_bytes: filled.attachment_size_limit,
        };
        let Some(mut asked) = self.asked(http, parts).await else { return };
        let line = match self.0.buttons.press(&filled.data.custom_id) {
            Some((Press::Form(line), photos)) => {
                asked.asker.enclosed = photos;
                let grid = self.grid(&line).await;
                modal::sent(self.0.desk.forms(), grid.as_ref(), &line, &filled.data)
            }
            _ => None,
        };
        match line {
            Some(line) => answer::line(http, &self.0, asked, line, Vec::new()).await,
            None => answer::message(http, &asked, too_old("form")).await,
        }
    }

    /// How the readings lie that a line wants; which check they are of may have to be looked up in the record.
    async fn grid(&self, line: &str) -> Option<Grid> {
        let (room, line) = (Arc::clone(&self.0), line.to_owned());
        spawn_blocking(move || room.desk.grid(&line)).await.ok().flatten()
    }

    /// Who asks and where; none when this place is not served, which the asker is told.
    async fn asked(&self, http: &Arc<Http>, parts: Parts<'_>) -> Option<Asked> {
        let here = self.served(parts.guild);
        if let Some(guild) = here
            && !self.0.roles.knows(guild)
            && timeout(ROLES_WAIT, load_roles(&self.0, http, guild)).await.is_err()
        {
            tracing::warn!("the server's roles came too late for an answer: it was given as to an apprentice");
        }
        let asked = self.asker(parts);
        if here.is_none() {
            let told = paint::aside("Not here", "This bench answers on its own server only.");
            answer::message(http, &asked, told).await;
            return None;
        }
        Some(asked)
    }

    /// The server, where it is one that this shop answers on.
    fn served(&self, guild: Option<GuildId>) -> Option<GuildId> {
        let own = self.0.settings.guild;
        guild.filter(|guild| own == 0 || guild.get() == own)
    }

    fn asker(&self, parts: Parts<'_>) -> Asked {
        let mut asker = Asker::new(parts.user.name.clone(), Front::Chat);
        let member = parts.member.zip(parts.guild);
        let role = member.map(|(member, guild)| self.0.roles.role(&self.0.settings, guild, member));
        asker.role = Some(role.unwrap_or(Role::Apprentice));
        asker.channel = parts.channel.to_string();
        asker.bench = self.0.bench(&asker.channel);
        asker.key = Some(parts.id.to_string());
        Asked {
            id: parts.id,
            token: parts.token.to_owned(),
            asker,
            member: parts.user.id,
            most_bytes: usize::try_from(parts.most_bytes).unwrap_or(usize::MAX).max(super::limits::FILE_BYTES),
        }
    }
}

fn parts(command: &CommandInteraction) -> Parts<'_> {
    Parts {
        id: command.id,
        token: &command.token,
        guild: command.guild_id,
        channel: command.channel_id,
        user: &command.user,
        member: command.member.as_deref(),
        most_bytes: command.attachment_size_limit,
    }
}

fn too_old(what: &str) -> Message {
    paint::aside(&format!("That {what} is too old: send the line again"), "It was made before the last restart.")
}

/// Brings roles and commands in line with the platform after every fresh start of a connection.
async fn reconcile(room: &Arc<Room>, http: &Arc<Http>) {
    const PAUSES: [u64; 4] = [0, 2, 10, 60];
    let guild = match room.settings.guild {
        0 => None,
        id => Some(GuildId::new(id)),
    };
    let (mut roles_due, mut commands_due) = (guild.is_some(), true);
    for pause in PAUSES {
        tokio::time::sleep(Duration::from_secs(pause)).await;
        if let Some(guild) = guild.filter(|_| roles_due) {
            roles_due = !load_roles(room, http, guild).await;
        }
        if commands_due {
            commands_due = match register(room, http, guild).await {
                Ok(()) => false,
                Err(error) => {
                    tracing::error!(
                        "the slash commands could not be registered: {error}. Check discord.guild, and that the bot was invited to that server with the scopes bot and applications.commands"
                    );
                    true
                }
            };
        }
        if !roles_due && !commands_due {
            return;
        }
    }
}

pub async fn load_roles(room: &Room, http: &Http, guild: GuildId) -> bool {
    match limited(http.get_guild_roles(guild)).await {
        Ok(roles) => {
            room.roles.set(guild, &roles);
            true
        }
        Err(error) => {
            tracing::warn!("the server's roles could not be read, so everyone counts as an apprentice: {error}");
            false
        }
    }
}

async fn register(room: &Room, http: &Http, guild: Option<GuildId>) -> Result<(), String> {
    let ours = commands::all(room.desk.forms(), guild.is_none());
    let registered = match guild {
        Some(guild) => limited(http.get_guild_commands(guild)).await?,
        None => limited(http.get_global_commands()).await?,
    };
    if commands::same(&ours, &registered) {
        return Ok(());
    }
    match guild {
        Some(guild) => limited(http.create_guild_commands(guild, &ours)).await?,
        None => limited(http.create_global_commands(&ours)).await?,
    };
    tracing::info!("{} slash commands registered", ours.len());
    Ok(())
}
