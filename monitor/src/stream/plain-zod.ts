import { z } from 'zod';

// The page's content policy forbids building code from text, which zod tries where a schema is made:
// so this must be imported before any schema is.
z.config({ jitless: true });
