// With the address sanitizer graphics drivers must stay mapped, or their own small leaks come from
// an unknown module and cannot be told from ours. A leak of ours is still reported.

#if defined(__SANITIZE_ADDRESS__)
#define BIGHT_ADDRESS_SANITIZER 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define BIGHT_ADDRESS_SANITIZER 1
#endif
#endif

#ifdef BIGHT_ADDRESS_SANITIZER
extern "C" int dlclose(void* /*library*/) {
  return 0;
}
extern "C" const char* __lsan_default_suppressions() {
  return "leak:swrast_dri.so\nleak:libLLVM\nleak:libEGL_mesa\nleak:libGLX_mesa\n";
}
#endif
