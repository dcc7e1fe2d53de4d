import { replan } from '../planner/index.ts';
import { serveReplans } from './replan-service.ts';

/* The whole of the thread in which a keeper has new timetables worked out: the planner and nothing else. */
serveReplans(replan);
