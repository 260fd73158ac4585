// Empty: the one source of test_main that takes the precompiled headers, so that they are built.
