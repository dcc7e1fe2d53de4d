import { foreseen } from './forecaster.ts';
import { serveQuestions } from './serving-thread.ts';

/* The whole of the thread in which a keeper looks ahead: the bench and a simulated cook, and nothing else. */
serveQuestions(foreseen);
