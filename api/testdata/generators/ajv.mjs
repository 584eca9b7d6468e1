// Loads every schema of a folder into one validator, strict, under its $id, and
// holds the documents of examples.json to them.
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import Ajv from "ajv/dist/2020.js";
import formats from "ajv-formats";

const [folder, examples] = process.argv.slice(2);
const ajv = new Ajv({ strict: true, strictRequired: false, allowUnionTypes: true, allErrors: true });
formats(ajv);
const schemas = readdirSync(folder).filter((n) => n.endsWith(".json")).map((n) => JSON.parse(readFileSync(join(folder, n), "utf8")));
for (const s of schemas) ajv.addSchema(s);
let failed = false;
for (const s of schemas) {
  if (!ajv.getSchema(s.$id)) throw new Error(`${s.$id} is not there`);
}
for (const { name, schema, holds, document } of JSON.parse(readFileSync(examples, "utf8"))) {
  const validate = ajv.getSchema("/v1/schemas/" + schema);
  if (validate(document) !== holds) {
    failed = true;
    console.log(`${name}: ${holds ? ajv.errorsText(validate.errors) : "passes, and should not"}`);
  }
}
console.log(`${schemas.length} schemas`);
process.exit(failed ? 1 : 0);
