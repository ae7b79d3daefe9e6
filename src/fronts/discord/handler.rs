//! What happens when the platform brings an event: each interaction goes to the shop whose server it is from, and becomes
//! a line, a list or a form there.

use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::Duration;

use serenity::all::{
    ChannelId, CommandInteraction, ComponentInteraction, ComponentInteractionDataKind, Context, EventHandler, Guild,
    GuildId, Http, Interaction, InteractionId, Member, ModalInteraction, Ready, ResumedEvent, Role as ServerRole,
    RoleId, UnavailableGuild, User,
};
use serenity::async_trait;
use tokio::task::spawn_blocking;
use tokio::time::timeout;

use super::answer::{self, Asked};
use super::buttons::Press;
use super::lobby::{Lobby, Nobody};
use super::paint::{self, Message};
use super::ready::{load_roles, make_ready};
use super::room::Room;
use super::running::State;
use super::{modal, slash};
use crate::desk::form::Grid;
use crate::desk::{Asker, Front, Role};

/// The event handler of one connection.
pub struct Handler(pub Arc<Lobby>);

/// How long an answer may wait for the server's roles.
const ROLES_WAIT: Duration = Duration::from_millis(700);

#[async_trait]
impl EventHandler for Handler {
    async fn ready(&self, context: Context, ready: Ready) {
        tracing::info!("the chat front is up as {}", ready.user.name);
        self.0.up(ready.user.id, &ready.guilds);
        // Each by itself: one server that does not answer holds up no other.
        for room in &self.0.rooms {
            let (room, http) = (Arc::clone(room), Arc::clone(&context.http));
            tokio::spawn(async move { make_ready(&room, &http).await });
        }
    }

    async fn resume(&self, _: Context, _: ResumedEvent) {
        self.0.connection.set_state(State::Up);
    }

    /// The bot was invited, perhaps again: what it had made there is gone.
    async fn guild_create(&self, context: Context, guild: Guild, _: Option<bool>) {
        let Ok(room) = self.0.room(Some(guild.id)) else { return };
        let (out, unready) = (room.out.swap(false, Ordering::AcqRel), room.unready.swap(false, Ordering::AcqRel));
        if out || unready {
            tracing::info!("the bot is let in on server {}", guild.id);
            room.look_afresh();
            make_ready(room, &context.http).await;
        }
    }

    /// The bot was taken out, or the server is away for a while with all it holds.
    async fn guild_delete(&self, _: Context, guild: UnavailableGuild, _: Option<Guild>) {
        if let Ok(room) = self.0.room(Some(guild.id))
            && !guild.unavailable
        {
            tracing::warn!("the bot was taken out of server {}: `gudgeon discord invite` lets it in again", guild.id);
            room.out.store(true, Ordering::Release);
        }
    }

    async fn guild_role_create(&self, _: Context, role: ServerRole) {
        if let Ok(room) = self.0.room(Some(role.guild_id)) {
            room.roles.put(&role);
        }
    }

    async fn guild_role_update(&self, _: Context, _: Option<ServerRole>, role: ServerRole) {
        if let Ok(room) = self.0.room(Some(role.guild_id)) {
            room.roles.put(&role);
        }
    }

    async fn guild_role_delete(&self, _: Context, guild: GuildId, role: RoleId, _: Option<ServerRole>) {
        if let Ok(room) = self.0.room(Some(guild)) {
            room.roles.remove(guild, role);
        }
    }

    async fn interaction_create(&self, context: Context, interaction: Interaction) {
        if !self.0.connection.is_new(interaction.id()) {
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
        let Some((room, asked)) = self.asked(http, parts(&command)).await else { return };
        let given = slash::read(&command.data);
        let line = slash::line(&room.desk, &given);
        answer::line(http, &room, asked, line, given.attached).await;
    }

    async fn autocomplete(&self, http: &Arc<Http>, command: CommandInteraction) {
        let parts = parts(&command);
        match self.0.room(parts.guild) {
            Ok(room) => answer::completion(http, room, in_room(room, &parts), slash::read(&command.data)).await,
            Err(_) => answer::choices(http, &stranger(&parts), Vec::new()).await,
        }
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
        let Some((room, mut asked)) = self.asked(http, parts).await else { return };
        let id = match &component.data.kind {
            ComponentInteractionDataKind::StringSelect { values } => values.first().map_or("", String::as_str),
            _ => component.data.custom_id.as_str(),
        };
        let Some((press, photos)) = room.buttons.press(id) else {
            return answer::message(http, &asked, too_old("button")).await;
        };
        asked.asker.enclosed = photos;
        let line = match press {
            Press::Send(line) => line,
            Press::Turn(line) => {
                asked.in_place = true;
                line
            }
            Press::Form(line) => {
                let grid = grid(&room, &line).await;
                let id = room.buttons.beside(&room.buttons.id(Press::Form(line.clone())), &asked.asker);
                if let Some(modal) = modal::open(room.desk.forms(), grid.as_ref(), &line, &id) {
                    return answer::modal(http, &asked, modal).await;
                }
                // A command without values needs no form.
                line
            }
        };
        answer::line(http, &room, asked, line, Vec::new()).await;
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
        let Some((room, mut asked)) = self.asked(http, parts).await else { return };
        let line = match room.buttons.press(&filled.data.custom_id) {
            Some((Press::Form(line), photos)) => {
                asked.asker.enclosed = photos;
                let grid = grid(&room, &line).await;
                modal::sent(room.desk.forms(), grid.as_ref(), &line, &filled.data)
            }
            _ => None,
        };
        match line {
            Some(line) => answer::line(http, &room, asked, line, Vec::new()).await,
            None => answer::message(http, &asked, too_old("form")).await,
        }
    }

    /// The shop, and who asks there; none where nobody answers, which the asker is told.
    async fn asked(&self, http: &Arc<Http>, parts: Parts<'_>) -> Option<(Arc<Room>, Asked)> {
        let room = match self.0.room(parts.guild) {
            Ok(room) => room,
            Err(why) => {
                answer::message(http, &stranger(&parts), nobody(why)).await;
                return None;
            }
        };
        if let Some(guild) = parts.guild
            && !room.roles.knows(guild)
            && timeout(ROLES_WAIT, load_roles(room, http, guild)).await.is_err()
        {
            tracing::warn!("the server's roles came too late for an answer: it was given as to an apprentice");
        }
        Some((Arc::clone(room), in_room(room, &parts)))
    }
}

/// How the readings lie that a line wants; which check they are of may have to be looked up in the record.
async fn grid(room: &Arc<Room>, line: &str) -> Option<Grid> {
    let (room, line) = (Arc::clone(room), line.to_owned());
    spawn_blocking(move || room.desk.grid(&line)).await.ok().flatten()
}

/// Someone of no shop.
fn stranger(parts: &Parts<'_>) -> Asked {
    let mut asker = Asker::new(parts.user.name.clone(), Front::Chat);
    asker.role = Some(Role::Apprentice);
    asker.channel = parts.channel.to_string();
    asker.key = Some(parts.id.to_string());
    Asked {
        id: parts.id,
        token: parts.token.to_owned(),
        asker,
        member: parts.user.id,
        in_place: false,
        most_bytes: usize::try_from(parts.most_bytes).unwrap_or(usize::MAX).max(super::limits::FILE_BYTES),
    }
}

/// Someone of that shop.
fn in_room(room: &Room, parts: &Parts<'_>) -> Asked {
    let mut asked = stranger(parts);
    if let Some((member, guild)) = parts.member.zip(parts.guild) {
        asked.asker.role = Some(room.roles.role(&room.settings, guild, member));
    }
    asked.asker.bench = room.bench(&asked.asker.channel);
    asked
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

fn nobody(why: Nobody) -> Message {
    match why {
        Nobody::NoShop => paint::aside("Not here", "This bench answers on its shop's own server only."),
        Nobody::Shut => paint::aside(
            "This shop is shut for now",
            "Its record or its pages could not be opened when the bench was started. Tell the lead: the log says why. \
             Keep your readings until then.",
        ),
    }
}
