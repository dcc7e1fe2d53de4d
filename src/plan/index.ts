export {
  componentId,
  stepId,
  type Broker,
  type Claim,
  type Component,
  type ComponentId,
  type DayHours,
  type Demonstration,
  type Door,
  type Hands,
  type HeldClaim,
  type Item,
  type Kitchen,
  type Oven,
  type OvenDemand,
  type OvenFigure,
  type OvenHeat,
  type OvenPace,
  type Place,
  type Plan,
  type Preference,
  type Probe,
  type ProbeGoal,
  type Show,
  type ShownPart,
  type Step,
  type StepId,
  type StepLength,
  type Trigger,
  type WatchedChange,
  type WorkingHours,
  type Workload,
} from './model.ts';
export {
  drawDiagnostic,
  fileDiagnostic,
  visible,
  type Diagnostic,
  type DiagnosticCode,
} from './diagnostic.ts';
export { loadWorkload, readKitchen, type LoadOptions } from './workload.ts';
export type { Loaded } from './files.ts';
export type { SourceFile } from './source.ts';
export { parsePreferences, preferenceOrder } from './prefer.ts';
export { COOLING_RULE_NAMES, type CoolingRuleName } from './cooling-rules.ts';
export { componentNames, probesAsked, stepsById, usersOf } from './lookup.ts';
export { describeTrigger } from './trigger.ts';
export { newPlanText } from './new-plan.ts';
export { kitchenJsonSchema, planJsonSchema, type JsonSchema } from './json-schema.ts';
