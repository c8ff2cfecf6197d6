// What families do for themselves, the office with its families, and registering by ear and by keyboard: told in one
// house, which takes long to start. Each file can be told alone too.

import { stories as adults } from './adults.mjs';
import { stories as office } from './office.mjs';
import { stories as reader } from './reader.mjs';

export const stories = [...adults, ...office, ...reader];
