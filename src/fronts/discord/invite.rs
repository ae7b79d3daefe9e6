//! What the bot asks of a server, and the link by which an owner grants it.

use serenity::all::Permissions;

use super::answer::limited;
use super::client::{http, wait};
use super::settings::Settings;

/// Everything the front does that takes a right, and no more. Answers to slash commands, buttons and forms take none: they
/// go by the interaction's own token.
const USES: [Permissions; 5] = [
    // The channel that a message goes to.
    Permissions::VIEW_CHANNEL,
    // What is said unasked: an out, a returned reading.
    Permissions::SEND_MESSAGES,
    // The same in a job's thread, and its card there.
    Permissions::SEND_MESSAGES_IN_THREADS,
    // A job's thread. What the bot made it may also rename, archive and open again.
    Permissions::CREATE_PUBLIC_THREADS,
    // The card at the thread's head.
    PIN_MESSAGES,
];

/// Once a part of managing messages, since 2026 a right of its own, which the client does not know yet.
pub const PIN_MESSAGES: Permissions = Permissions::from_bits_retain(1 << 51);

/// The rights the bot has to have.
pub fn rights() -> Permissions {
    USES.into_iter().fold(Permissions::empty(), |all, right| all | right)
}

/// Rights by the names that the platform shows.
pub fn names(rights: Permissions) -> String {
    let mut names = rights.get_permission_names();
    names.extend(rights.contains(PIN_MESSAGES).then_some("Pin Messages"));
    names.join(", ")
}

/// The link for an application of that number, to the server `guild` or, where that is 0, to any.
pub fn link(application: u64, guild: u64) -> String {
    let place = match guild {
        0 => String::new(),
        guild => format!("&guild_id={guild}&disable_guild_select=true"),
    };
    format!(
        "https://discord.com/oauth2/authorize?client_id={application}&scope=bot+applications.commands&permissions={}{place}",
        rights().bits()
    )
}

/// The number of the application that the token belongs to, as the platform says; the error is in words.
pub fn application(settings: &Settings) -> Result<u64, String> {
    wait(async {
        let known = limited(http(settings).get_current_application_info()).await?;
        Ok(known.id.get())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_link_names_the_rights_the_scopes_and_the_server() {
        let any = link(300, 0);
        assert!(any.contains("client_id=300") && any.contains("scope=bot+applications.commands"), "{any}");
        // 1 << 10, 1 << 11, 1 << 35, 1 << 38 and 1 << 51, as the platform numbers them.
        assert!(any.ends_with("&permissions=2252109051333632"), "{any}");
        assert!(names(rights()).ends_with("Pin Messages"), "{}", names(rights()));
        assert!(link(300, 400).ends_with("&guild_id=400&disable_guild_select=true"));
    }
}
