// Reads each zipped TASKDATA folder named on the command line with the npm package "isoxml" and
// prints one line of JSON for each: the records of its logs as that package understands them.
const fs = require("fs");
const { ISOXMLManager } = require("isoxml");

async function read(path) {
  const manager = new ISOXMLManager();
  await manager.parseISOXMLFile(new Uint8Array(fs.readFileSync(path)), "application/zip");
  const logs = [];
  for (const task of manager.rootElement.attributes.Task || []) {
    for (const log of task.attributes.TimeLog || []) {
      const found = log.parseBinaryFile();
      logs.push({
        records: found.timeLogs.map((one) => ({
          ms: one.time.getTime(),
          north: one.position ? one.position.PositionNorth : null,
          east: one.position ? one.position.PositionEast : null,
          up: one.position ? one.position.PositionUp ?? null : null,
          values: one.values,
        })),
        errors: log.parsingErrors,
      });
    }
  }
  return logs;
}

(async () => {
  for (const path of process.argv.slice(2)) {
    console.log(JSON.stringify(await read(path)));
  }
})().catch((error) => {
  console.error(error);
  process.exit(1);
});
