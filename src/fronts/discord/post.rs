//! A painted message, handed to serenity.

use serenity::all::{
    ButtonStyle, CreateActionRow, CreateAllowedMentions, CreateAttachment, CreateButton, CreateEmbed,
    CreateEmbedFooter, CreateInteractionResponse, CreateInteractionResponseFollowup, CreateInteractionResponseMessage,
    CreateMessage, CreateSelectMenu, CreateSelectMenuKind, CreateSelectMenuOption, EditInteractionResponse,
    EditMessage, Mentionable, Nonce, RoleId, UserId,
};

use super::paint::{Card, File, Message, Note};
use super::rows::Row;

/// The custom id of every menu; what was chosen says what is meant.
pub const MENU: &str = "menu";

/// The first answer to an interaction.
pub fn first(message: Message) -> CreateInteractionResponse {
    CreateInteractionResponse::Message(
        CreateInteractionResponseMessage::new()
            .embeds(message.cards.into_iter().map(embed).collect())
            .components(message.rows.into_iter().map(row).collect())
            .files(message.files.into_iter().map(file))
            .allowed_mentions(nobody())
            .ephemeral(message.private),
    )
}

/// An answer in the place of the message that it was asked for under.
pub fn in_place(message: Message) -> CreateInteractionResponse {
    CreateInteractionResponse::UpdateMessage(
        CreateInteractionResponseMessage::new()
            .embeds(message.cards.into_iter().map(embed).collect())
            .components(message.rows.into_iter().map(row).collect())
            .files(message.files.into_iter().map(file))
            .allowed_mentions(nobody()),
    )
}

/// "One moment" without a word, for an answer in another message's place.
pub fn wait_in_place() -> CreateInteractionResponse {
    CreateInteractionResponse::Acknowledge
}

/// "One moment": the answer follows by [`edit`].
pub fn wait() -> CreateInteractionResponse {
    CreateInteractionResponse::Defer(CreateInteractionResponseMessage::new())
}

/// The answer in place of "one moment".
pub fn edit(message: Message) -> EditInteractionResponse {
    let edit = EditInteractionResponse::new()
        .embeds(message.cards.into_iter().map(embed).collect())
        .components(message.rows.into_iter().map(row).collect())
        .allowed_mentions(nobody());
    message.files.into_iter().map(file).fold(edit, EditInteractionResponse::new_attachment)
}

/// The answer after "one moment" was taken back: only so can it be for the asker alone.
pub fn follow_up(message: Message) -> CreateInteractionResponseFollowup {
    CreateInteractionResponseFollowup::new()
        .embeds(message.cards.into_iter().map(embed).collect())
        .components(message.rows.into_iter().map(row).collect())
        .files(message.files.into_iter().map(file).collect::<Vec<_>>())
        .allowed_mentions(nobody())
        .ephemeral(message.private)
}

/// What is said unasked. It calls the one role and the one person that it names, and nobody else.
pub fn note(note: Note) -> CreateMessage {
    let (role, member) = (note.role.map(RoleId::new), note.member.map(UserId::new));
    let called = [role.map(|role| role.mention()), member.map(|member| member.mention())];
    let called: String = called.into_iter().flatten().map(|mention| format!("{mention} ")).collect();
    CreateMessage::new()
        .content(called + &note.text)
        .components(note.rows.into_iter().map(row).collect())
        .allowed_mentions(nobody().roles(role).users(member))
        .nonce(Nonce::String(note.nonce))
        .enforce_nonce(true)
}

/// The same in place of what the message said before; an edit calls nobody.
pub fn edited(note: Note) -> EditMessage {
    EditMessage::new()
        .content(note.text)
        .components(note.rows.into_iter().map(row).collect())
        .allowed_mentions(nobody())
}

/// No text that anyone typed may ping anyone.
fn nobody() -> CreateAllowedMentions {
    CreateAllowedMentions::new()
}

fn embed(card: Card) -> CreateEmbed {
    let mut embed = CreateEmbed::new().colour(card.colour);
    if !card.title.is_empty() {
        embed = embed.title(card.title);
    }
    if !card.text.is_empty() {
        embed = embed.description(card.text);
    }
    if !card.footer.is_empty() {
        embed = embed.footer(CreateEmbedFooter::new(card.footer));
    }
    match card.image {
        Some(name) => embed.attachment(name),
        None => embed,
    }
}

fn row(row: Row) -> CreateActionRow {
    match row {
        Row::Buttons(buttons) => CreateActionRow::Buttons(
            buttons.into_iter().map(|b| CreateButton::new(b.id).label(b.label).style(ButtonStyle::Secondary)).collect(),
        ),
        Row::Menu { hint, choices } => {
            let options = choices.into_iter().map(|c| CreateSelectMenuOption::new(c.label, c.id)).collect();
            CreateActionRow::SelectMenu(
                CreateSelectMenu::new(MENU, CreateSelectMenuKind::String { options }).placeholder(hint),
            )
        }
    }
}

fn file(file: File) -> CreateAttachment {
    let attachment = CreateAttachment::bytes(file.bytes, file.name);
    if file.alt.is_empty() { attachment } else { attachment.description(file.alt) }
}
