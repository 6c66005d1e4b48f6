// SPDX-License-Identifier: GPL-3.0-or-later
// Reads a calendar back with ical.js, an independent reader: node read_calendar.mjs FILE.
// Prints one line an event: UID, start and end in UTC, number of alarms, title. Exit 77: no ical.js.
import { createRequire } from 'node:module';
import { readFileSync } from 'node:fs';

let ICAL;
try {
  const found = createRequire(process.cwd() + '/')('ical.js');
  ICAL = found.default ?? found;
} catch {
  console.error('ical.js is not here');
  process.exit(77);
}
const calendar = new ICAL.Component(ICAL.parse(readFileSync(process.argv[2], 'utf8')));
for (const part of calendar.getAllSubcomponents('vevent')) {
  const event = new ICAL.Event(part);
  const alarms = part.getAllSubcomponents('valarm');
  for (const alarm of alarms)
    if (alarm.getFirstPropertyValue('action') !== 'DISPLAY' ||
        alarm.getFirstPropertyValue('trigger').toSeconds() !== 0)
      throw new Error('alarm is not a display alarm at the start');
  const at = (time) => time.toJSDate().toISOString();
  if (event.startDate.zone.tzid !== 'UTC') throw new Error('not in UTC');
  console.log([event.uid, at(event.startDate), at(event.endDate), alarms.length,
               event.summary].join('\t'));
}
