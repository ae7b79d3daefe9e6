//! Who asks: the member's own name, and the role the server's roles give them here.

use std::collections::HashMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

use serenity::all::{GuildId, Member, Role as ServerRole, RoleId};

use super::settings::Settings;
use crate::desk::Role;

/// Names of the roles of each server, as last heard.
#[derive(Default)]
pub struct Roles(Mutex<HashMap<GuildId, HashMap<RoleId, String>>>);

impl Roles {
    /// Takes over all roles of a server.
    pub fn set(&self, guild: GuildId, roles: &[ServerRole]) {
        self.all().insert(guild, roles.iter().map(|role| (role.id, role.name.clone())).collect());
    }

    /// Takes over one role that is new or was renamed.
    pub fn put(&self, role: &ServerRole) {
        if let Some(roles) = self.all().get_mut(&role.guild_id) {
            roles.insert(role.id, role.name.clone());
        }
    }

    pub fn remove(&self, guild: GuildId, role: RoleId) {
        if let Some(roles) = self.all().get_mut(&guild) {
            roles.remove(&role);
        }
    }

    pub fn knows(&self, guild: GuildId) -> bool {
        self.all().contains_key(&guild)
    }

    /// The first of these names that a role of the server has.
    pub fn first(&self, guild: GuildId, wanted: &[String]) -> Option<RoleId> {
        let all = self.all();
        let roles = all.get(&guild)?.iter().map(|(id, name)| (*id, name.as_str()));
        first_named(roles, wanted)
    }

    /// The role a member acts under. Never none: a name that happens to stand in the shop's own list of people is
    /// no proof here, anyone may take any name.
    pub fn role(&self, settings: &Settings, guild: GuildId, member: &Member) -> Role {
        let all = self.all();
        let known = all.get(&guild);
        let held = |wanted: &[String]| {
            let mut names = member.roles.iter().filter_map(|id| known?.get(id));
            names.any(|name| wanted.iter().any(|wanted| same_name(name, wanted)))
        };
        if held(&settings.lead_roles) {
            Role::Lead
        } else if held(&settings.tech_roles) {
            Role::Tech
        } else {
            Role::Apprentice
        }
    }

    fn all(&self) -> MutexGuard<'_, HashMap<GuildId, HashMap<RoleId, String>>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// The first of the wanted names that one of the roles has, however it is spelt in capitals.
pub fn first_named<'r>(roles: impl Iterator<Item = (RoleId, &'r str)> + Clone, wanted: &[String]) -> Option<RoleId> {
    wanted.iter().find_map(|wanted| roles.clone().find(|(_, name)| same_name(name, wanted))).map(|(id, _)| id)
}

fn same_name(one: &str, other: &str) -> bool {
    one.trim().to_lowercase() == other.trim().to_lowercase()
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::expect_used)]
mod tests {
    use super::super::settings::Token;
    use super::*;
    use serde_json::json;

    fn member(roles: &[&str]) -> Member {
        let user = json!({"id": "5", "username": "lead", "discriminator": "0", "global_name": null, "avatar": null});
        serde_json::from_value(json!({"user": user, "roles": roles, "joined_at": "2026-01-05T08:00:00Z",
            "deaf": false, "mute": false, "flags": 0, "permissions": "0"}))
        .unwrap()
    }

    fn role(id: &str, name: &str) -> ServerRole {
        serde_json::from_value(json!({"id": id, "name": name, "color": 0, "hoist": false, "managed": false,
            "colors": {"primary_color": 0, "secondary_color": null, "tertiary_color": null},
            "guild_id": "7", "mentionable": false, "permissions": "0", "position": 1, "flags": 0}))
        .unwrap()
    }

    #[test]
    fn the_servers_roles_decide_and_a_name_does_not() {
        let mut settings = Settings::new(Token::new("a.b.c").unwrap());
        settings.lead_roles = vec!["Lead".to_owned()];
        settings.tech_roles = vec!["tech".to_owned(), "bench".to_owned()];
        let (roles, guild) = (Roles::default(), GuildId::new(7));
        assert_eq!(roles.role(&settings, guild, &member(&["11"])), Role::Apprentice, "no role is known yet");
        roles.set(guild, &[role("11", "lead"), role("12", "Bench "), role("13", "visitors")]);
        assert_eq!(roles.role(&settings, guild, &member(&["13"])), Role::Apprentice);
        assert_eq!(roles.role(&settings, guild, &member(&["13", "12"])), Role::Tech);
        assert_eq!(roles.role(&settings, guild, &member(&["12", "11"])), Role::Lead);
        assert_eq!(roles.role(&settings, GuildId::new(8), &member(&["11"])), Role::Apprentice, "another server");
        roles.put(&role("12", "retired"));
        roles.remove(guild, RoleId::new(11));
        assert_eq!(roles.role(&settings, guild, &member(&["12", "11"])), Role::Apprentice);
    }
}
