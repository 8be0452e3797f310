// express-pouchdb on leveldb, and a bare page of the same origin for the browser's side.

import { createRequire } from "node:module";

const require = createRequire(import.meta.url);
const [folder, port] = process.argv.slice(2);
const express = require("express");
const PouchDB = require("pouchdb-core")
  .plugin(require("pouchdb-adapter-leveldb"))
  .plugin(require("pouchdb-mapreduce"))
  .plugin(require("pouchdb-replication"))
  .defaults({ prefix: `${folder}/` });

const app = express();
app.get("/", (_request, response) => response.type("html").send("<!doctype html><title>bench</title>"));
// The least of its parts that a PouchDB client needs: sign-in, logs and the like would only slow it down.
app.use("/db", require("express-pouchdb")(PouchDB, { mode: "minimumForPouchDB", inMemoryConfig: true }));
app.listen(Number(port), "127.0.0.1", () => console.log("ready"));
