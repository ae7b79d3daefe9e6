// Turns the platform's published schema into JSON schemas: `node schemas.mjs FILE`.
import { writeFileSync } from "node:fs";
import * as spec from "discord-api-spec/zod";
import * as z from "zod";

const registry = z.registry();
for (const [name, schema] of Object.entries(spec)) {
  if (schema?._zod) registry.add(schema, { id: name.replace(/Schema$/, "") });
}
const { schemas } = z.toJSONSchema(registry, {
  // As output: every object then refuses keys that it does not name.
  io: "output",
  // The one thing JSON schema has no word for is "left out": a value is never that.
  unrepresentable: "any",
  override: ({ zodSchema, jsonSchema }) => {
    if (zodSchema._zod.def.type === "undefined") jsonSchema.not = {};
  },
  uri: (id) => `#/components/schemas/${id}`,
});
for (const schema of Object.values(schemas)) {
  delete schema.$schema;
  delete schema.$id;
}
writeFileSync(process.argv[2], JSON.stringify(schemas));
console.log(`${Object.keys(schemas).length} schemas`);
